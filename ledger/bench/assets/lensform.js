// What is known of the lens.

import { choice, element, field, input } from "./elements.js";

const KINDS = [
  { value: "", label: "Unknown: the interval is widened for it" },
  { value: "none", label: "None: the picture is straight, or corrected" },
  { value: "widened", label: "Roughly known: how far it bends" },
  { value: "terms", label: "Calibrated: Brown terms" },
];
const HINT = "Lenses bend straight edges, most near the rim of the picture; what is not known of it goes into the interval";
const TERMS = {
  widened: [["bend", "0 ± 0.03 for most telephones"], ["aside", "0 ± 0.1 if nothing is known"]],
  terms: [
    ["fx", "px"], ["fy", "px"], ["cx", "px"], ["cy", "px"],
    ["k1", ""], ["k2", ""], ["p1", ""], ["p2", ""], ["k3", ""], ["residual", "px"],
  ],
};

export class LensForm {
  constructor(heard) {
    this.fields = {};
    this.kind = choice(KINDS, { onchange: event => { this.#show(); heard(event); } });
    this.more = element("div", { class: "lens-terms", oninput: heard, onchange: heard });
    this.root = element("div", {}, field("Lens", this.kind, { hint: HINT, at: "lens" }), this.more);
  }

  #show(given = {}) {
    this.fields = {};
    const rows = (TERMS[this.kind.value] ?? []).map(([name, hint]) => {
      this.fields[name] = input({ placeholder: hint, value: given[name] ?? "" });
      return field(name, this.fields[name], { hint: hint === "px" ? "" : hint, at: `lens.${name}` });
    });
    this.more.replaceChildren(...rows);
  }

  get value() {
    if (!TERMS[this.kind.value]) return this.kind.value || null;
    return Object.fromEntries(Object.entries(this.fields).map(([name, one]) => [name, one.value.trim()]));
  }

  set value(given) {
    if (given && typeof given === "object") {
      this.kind.value = "bend" in given || "aside" in given ? "widened" : "terms";
      this.#show(Object.fromEntries(Object.entries(given).map(([name, one]) => [name, String(one)])));
    } else {
      this.kind.value = given === "none" ? "none" : "";
      this.#show();
    }
  }
}
