// The list of what is marked: which of them the next point belongs to, how many there are, and their numbers.

import { element, input, number, worded } from "./elements.js";
import { ends } from "./marks.js";

const COLOURS = 6;
const AXES = { point: ["x", "y"], span: ["start, s", "end, s"], guide: ["time, s", "frequency, Hz"] };

// one: {key, label, hint, form, extra}; `from`: the place of the first among all tracks, for their colours.
export class TrackList {
  constructor(marks, { at = "points." } = {}) {
    this.marks = marks;
    this.at = at;
    this.root = element("div", { class: "tracks" });
    this.rows = new Map();
    marks.on(what => {
      if (what === "points" || what === "active" || what === "selected" || what === "tracks" || what === "labels") this.tell();
    });
  }

  show(described, from = 0) {
    const open = new Set([...this.rows].filter(([, row]) => row.details.open).map(([key]) => key));
    this.rows.clear();
    this.root.replaceChildren(...described.map((one, place) => this.#row(one, from + place, open.has(one.key))));
    this.tell();
  }

  #row(one, place, open) {
    const count = element("span", { class: "count" });
    const name = element("span", { class: "name" }, one.label);
    const choose = element("button", {
      type: "button", class: "track-choose", onclick: () => this.marks.activate(one.key),
    }, element("span", { class: `swatch mark-${place % COLOURS}`, "aria-hidden": "true" }), name, count);
    const places = element("div", { class: "places" });
    const details = element("details", { class: "numbers", ontoggle: () => this.tell() },
      element("summary", {}, one.form === "span" ? "Times as numbers" : "Points as numbers"), places);
    details.open = open || one.form === "span";
    const wrong = element("p", { class: "wrong", "data-wrong": `${this.at}${one.key}`, hidden: true });
    this.rows.set(one.key, { one, choose, count, name, places, details });
    return element("div", { class: "track-row" }, choose,
      one.hint ? element("p", { class: "hint" }, worded(one.hint)) : null, wrong, one.extra, details);
  }

  tell() {
    for (const [key, row] of this.rows) {
      const track = this.marks.track(key);
      if (!track) continue;
      row.choose.setAttribute("aria-pressed", String(this.marks.active === key));
      row.count.textContent = counted(track);
      row.name.textContent = track.label;
      if (row.details.open) this.#places(track, row);
    }
  }

  #places(track, row) {
    const { places, one } = row;
    const lines = one.form === "span" ? 1 : track.points.length + 1;
    while (places.children.length > lines) places.lastChild.remove();
    while (places.children.length < lines) places.append(this.#place(track.key, places.children.length, one));
    [...places.children].forEach((line, index) => {
      const values = one.form === "span" ? ends(track).map(place => track.points[place][0]) : track.points[index] ?? [];
      [...line.querySelectorAll("input")].forEach((field, axis) => {
        const value = values[axis];
        if (document.activeElement === field) return;
        if (value !== undefined) field.value = one.form === "point" ? number(value) : String(value);
        else if (one.form === "span" && track.points.length) field.value = "";
      });
      line.querySelector("button").hidden = !values.length;
      line.hidden = one.form !== "span" && !values.length && track.points.length >= track.most;
    });
  }

  #place(key, index, one) {
    const span = one.form === "span";
    const name = span ? one.label : `${one.label}, point ${index + 1}`;
    const line = element("div", { class: "place" }, span ? null : element("span", { class: "which" }, String(index + 1)),
      AXES[one.form].map(axis => input({ "aria-label": `${name}, ${axis}`, placeholder: axis, inputmode: "decimal", onchange: () => this.#take(key, index, line, span) })),
      element("button", {
        type: "button", class: "small", "aria-label": span ? `Delete times of ${one.label}` : `Delete point ${index + 1} of ${one.label}`,
        onclick: () => (span ? this.#empty(key, line) : this.marks.remove(key, index)),
      }, "×"));
    if (span) line.classList.add("span");
    return line;
  }

  #take(key, index, line, span) {
    const track = this.marks.track(key);
    const fields = [...line.querySelectorAll("input")];
    const given = fields.map(field => Number(field.value.trim().replace(",", ".") || NaN));
    if (!given.every(Number.isFinite)) return;
    if (span) {
      this.marks.put(key, given.map(time => [time]));
      return;
    }
    if (index < track.points.length) this.marks.move(key, index, given);
    else {
      this.marks.activate(key);
      this.marks.add(given);
      line.nextElementSibling?.querySelector("input").focus();
    }
  }

  #empty(key, line) {
    this.marks.put(key, []);
    for (const field of line.querySelectorAll("input")) field.value = "";
    line.querySelector("input").focus();
  }
}

export function counted({ points, shape, least, most }) {
  const of = least === 0 ? "any, or none" : least === most ? `${most}` : most >= 40 ? `${Math.max(least, 1)} or more` : `${Math.max(least, 1)} to ${most}`;
  return `${points.length} of ${of}${shape === "span" ? " ends" : ""}`;
}
