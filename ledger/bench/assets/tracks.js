// The list of what is marked: which of them the next point belongs to, how many there are, and their numbers.

import { element, input, number } from "./elements.js";

const COLOURS = 6;
const FORMS = { point: ["x", "y"], span: ["start, s", "end, s"], guide: ["time, s", "frequency, Hz"] };

// one: {key, label, hint, least, most, form}
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

  show(described) {
    this.rows.clear();
    this.root.replaceChildren(...described.map((one, place) => this.#row(one, place)));
    this.tell();
  }

  #row(one, place) {
    const count = element("span", { class: "count" });
    const name = element("span", { class: "name" }, one.label);
    const choose = element("button", {
      type: "button", class: "track-choose", onclick: () => this.marks.activate(one.key),
    }, element("span", { class: `swatch mark-${place % COLOURS}`, "aria-hidden": "true" }), name, count);
    const places = element("div", { class: "places" });
    const details = element("details", { class: "numbers", ontoggle: () => this.tell() },
      element("summary", {}, "Points as numbers"), places);
    if (one.form !== "point") details.open = true;
    const wrong = element("p", { class: "wrong", "data-wrong": `${this.at}${one.key}`, hidden: true });
    this.rows.set(one.key, { one, choose, count, name, places, details });
    return element("div", { class: "track-row" }, one.form === "point" ? choose : name,
      one.hint ? element("p", { class: "hint" }, one.hint) : null, wrong, one.extra, details);
  }

  tell() {
    for (const [key, row] of this.rows) {
      const track = this.marks.track(key);
      if (!track) continue;
      row.choose.setAttribute("aria-pressed", String(this.marks.active === key));
      const wanted = track.least === 0 ? "any, or none" : track.least === track.most ? `${track.most}` : track.most >= 40 ? `${Math.max(track.least, 1)} or more` : `${Math.max(track.least, 1)} to ${track.most}`;
      row.count.textContent = `${track.points.length} of ${wanted}`;
      row.name.textContent = track.label;
      if (row.details.open) this.#places(track, row);
    }
  }

  #places(track, row) {
    const { places, one } = row;
    while (places.children.length > track.points.length + 1) places.lastChild.remove();
    while (places.children.length < track.points.length + 1) places.append(this.#place(track.key, places.children.length, one));
    [...places.children].forEach((line, index) => {
      const [across, down] = line.querySelectorAll("input");
      const point = track.points[index];
      for (const [field, value] of [[across, point?.[0]], [down, point?.[1]]]) {
        if (point && document.activeElement !== field) field.value = one.form === "point" ? number(value) : String(value);
      }
      line.querySelector("button").hidden = !point;
      line.hidden = !point && track.points.length >= track.most;
    });
  }

  #place(key, index, one) {
    const take = () => {
      const track = this.marks.track(key);
      const given = [...line.querySelectorAll("input")].map(field => Number(field.value.trim().replace(",", ".") || NaN));
      if (!given.every(Number.isFinite)) return;
      if (index < track.points.length) this.marks.move(key, index, given);
      else {
        this.marks.activate(key);
        this.marks.add(given);
        line.nextElementSibling?.querySelector("input").focus();
      }
    };
    const line = element("div", { class: "place" }, element("span", { class: "which" }, String(index + 1)),
      FORMS[one.form].map(axis => input({ "aria-label": `${one.label}, point ${index + 1}, ${axis}`, placeholder: axis, inputmode: "decimal", onchange: take })),
      element("button", {
        type: "button", class: "small", "aria-label": `Delete point ${index + 1} of ${one.label}`,
        onclick: () => this.marks.remove(key, index),
      }, "×"));
    return line;
  }
}
