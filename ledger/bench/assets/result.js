// What the marks give: the quantity, its interval, what its uncertainty comes from, or what is still wrong.

import { following, send } from "./asking.js";
import { element } from "./elements.js";
import { atFields, list } from "./faults.js";

// While things move a rough answer is enough.
const QUICK = 800;
const WHOLE = 10_000;
// After so long it is said that it is being measured.
const SLOW = 400;

export class Result {
  constructor(bench) {
    this.bench = bench;
    this.found = null;
    this.root = element("section", { class: "result", "aria-label": "Result", tabindex: 0 });
    this.busy = element("p", { class: "busy", hidden: true }, "Measuring …");
    this.live = element("p", { class: "unseen", role: "status" });
    this.body = element("div", { class: "result-body" });
    // Where the result has been scrolled away, its line stays.
    this.slim = element("p", { class: "slim", hidden: true, "aria-hidden": "true" });
    document.body.append(this.slim);
    new IntersectionObserver(([seen]) => {
      this.slim.hidden = seen.isIntersecting || seen.boundingClientRect.bottom > 0 || this.root.hidden;
    }).observe(this.root);
    this.root.append(this.live, this.busy, this.body);
    this.following = following(quick => this.#ask(quick), (answer, quick) => this.#tell(answer, quick));
  }

  ask() {
    this.root.dataset.whole = "false";
    this.root.hidden = this.bench.kind !== "measurement";
    clearTimeout(this.slow);
    this.slow = setTimeout(() => { this.busy.hidden = this.root.dataset.whole === "true" || this.root.hidden; }, SLOW);
    this.following.again();
  }

  // What was measured in another way says nothing any more.
  forget() {
    this.found = null;
    this.root.dataset.whole = "false";
    this.following.drop();
    this.bench.stage.line = [];
    this.#put("…", element("p", { class: "none" }, "…"));
  }

  // Show the result, and one line of it for where it has been scrolled away.
  #put(line, ...parts) {
    this.slim.textContent = line;
    this.root.classList.toggle("noted", Boolean(this.found?.notes.length || this.found?.doubtful));
    this.body.replaceChildren(...parts);
  }

  async #ask(quick) {
    const { bench } = this;
    // A recording is to be seen first: measuring it takes long.
    await bench.stage.opened;
    if (bench.kind !== "measurement" || !bench.file || !bench.method) return { wrong: [] };
    const picks = bench.form.picks(quick ? QUICK : WHOLE);
    if (bench.stage.listening && quick) bench.follow(picks);
    return send("measure", picks);
  }

  #tell(answer, quick) {
    this.root.dataset.whole = String(!quick);
    const { bench } = this;
    if (!quick) this.busy.hidden = true;
    if (bench.kind !== "measurement") {
      this.body.replaceChildren();
      return;
    }
    if (answer.wrong) {
      this.found = null;
      const left = atFields(bench.form.root, answer.wrong.map(fault => softened(bench.form.told(fault))));
      const soft = answer.wrong.every(fault => fault.missing);
      const words = !bench.file ? "Choose a photograph or a recording." : soft ? "Mark and state what is asked for; the measurement stands here then." : "There is no measurement yet.";
      this.#put("No measurement yet", element("p", { class: "none" }, words), left.length ? list(left) : "");
      if (!quick) this.live.textContent = words;
      return;
    }
    this.found = answer.found;
    atFields(bench.form.root, []);
    this.#put(answer.found.quantity, ...shown(answer.found));
    if (!quick) this.live.textContent = [`Measured: ${answer.found.quantity}.`, answer.found.doubtful, ...answer.found.notes].filter(Boolean).join(" ");
  }
}

// A field that was left empty is not wrong yet.
function softened(fault) {
  return fault.given === "``" || fault.given === "an empty text" ? { ...fault, missing: true } : fault;
}

function shown(found) {
  const unit = found.unit ? ` ${found.unit}` : "";
  const left = element("div", {}, element("p", { class: "quantity", id: "quantity" }, found.quantity));
  const parts = [left];
  if (found.chances.length) parts.push(bars(found.chances.map(([number, chance]) => ({
    name: String(number), share: chance, told: `${(100 * chance).toFixed(chance < 0.1 ? 1 : 0)} %` })), "Chance of each number"));
  else left.append(element("p", { class: "interval" }, `95 % from ${figure(found.low)} to ${figure(found.high)}${unit}`, found.lopsided ? "; lopsided, ± covers the wider side" : ""));
  const most = Math.max(...found.parts.map(part => part.half), 0);
  if (most > 0) parts.push(bars(found.parts.map(part => ({
    name: part.cause, share: part.half / most, told: `± ${figure(part.half, 2)}${unit}`, meaning: part.meaning })), "Parts of the uncertainty"));
  if (found.doubtful) left.append(element("p", { class: "doubtful" }, found.doubtful));
  if (found.notes.length) left.append(element("ul", { class: "notes" }, found.notes.map(note => element("li", {}, note))));
  return parts;
}

function bars(rows, title) {
  return element("table", { class: "bars" }, element("caption", {}, title),
    element("tbody", {}, rows.map(({ name, share, told, meaning }) => {
      const bar = element("span", { class: "bar" });
      bar.style.width = `${Math.max(100 * share, 0.5)}%`;
      return element("tr", {}, element("th", { scope: "row" }, name, meaning ? element("span", { class: "meaning" }, meaning) : null),
        element("td", { class: "bar-cell", "aria-hidden": "true" }, bar), element("td", { class: "told" }, told));
    })));
}

function figure(value, digits = 4) {
  return String(Number(value.toPrecision(digits)));
}
