// An evidence note: what is marked on the photograph, and how probable it would be under each rival of a question.

import { choice, element, field, input } from "./elements.js";
import { TrackList } from "./tracks.js";

const SHAPES = {
  point: { least: 1, most: 1, label: "Point" },
  line: { least: 2, most: 2, label: "Line" },
  box: { least: 2, most: 2, label: "Box" },
  polygon: { least: 3, most: 200, label: "Polygon" },
};
const KEEP = ["span", "page", "clause"];

export class NoteForm {
  #made = 0;
  #others = [];
  #rows = new Map();

  constructor(bench) {
    this.bench = bench;
    this.list = new TrackList(bench.marks, { at: "marks." });
    this.bearings = element("div", { class: "bearings" });
    this.root = element("div", { class: "note-form" });
    bench.marks.on(what => {
      if (what === "tracks" && bench.kind === "evidence") this.#list();
    });
  }

  show(front = null) {
    const { listing, marks } = this.bench;
    this.#others = (front?.marks ?? []).filter(mark => KEEP.some(key => key in mark));
    this.#rows.clear();
    const question = choice([{ value: "", label: "none, or choose one" }, ...listing.questions.map(one => ({ value: one.ref, label: one.title }))],
      { onchange: () => { this.#ask(question.value); question.value = ""; } });
    this.bearings.replaceChildren();
    this.root.replaceChildren(
      element("h3", {}, "Marks"),
      element("div", { class: "adders", role: "group", "aria-label": "Add a mark" }, Object.entries(SHAPES).map(([shape, { label }]) =>
        element("button", { type: "button", onclick: () => this.#add(shape) }, label))),
      this.list.root,
      element("h3", {}, "Bearing"),
      element("p", { class: "hint" }, "How probable this would be seen if the answer were true: 0.3, 0.2..0.6, or a word such as very likely."),
      field("A question it bears on", question),
      this.bearings,
      element("datalist", { id: "ladder" }, listing.ladder.map(word => element("option", { value: word }))),
    );
    marks.take((front?.marks ?? []).filter(mark => !this.#others.includes(mark)).map(mark => this.#track(mark)));
    this.#list();
    for (const [rival, given] of Object.entries(front?.bearing ?? {})) this.#row(rival, given);
  }

  #add(shape) {
    this.#made += 1;
    const { least, most } = SHAPES[shape];
    this.bench.marks.addTrack({ key: `mark-${this.#made}`, label: `${shape} ${this.#made}`, shape, least, most, points: [] });
    this.bench.stage.root.focus();
  }

  #track(mark) {
    this.#made += 1;
    const shape = Object.keys(SHAPES).find(one => one in mark);
    const given = mark[shape];
    const points = shape === "point" ? [given] : shape === "box" ? [given.slice(0, 2), given.slice(2)] : given;
    return { key: `mark-${this.#made}`, label: mark.label, shape, least: SHAPES[shape].least, most: SHAPES[shape].most, points: points.map(one => [...one]) };
  }

  #list() {
    const { marks } = this.bench;
    this.list.show(marks.tracks.map(track => ({
      key: track.key, label: track.label, form: "point",
      extra: element("div", { class: "mark-name" },
        input({ "aria-label": `Label of ${track.label}`, value: track.label, oninput: event => marks.relabel(track.key, event.target.value) }),
        element("button", { type: "button", class: "small", "aria-label": `Delete ${track.label}`, onclick: () => marks.removeTrack(track.key) }, "Delete")),
    })));
  }

  #ask(ref) {
    const question = this.bench.listing.questions.find(one => one.ref === ref);
    for (const rival of question?.rivals ?? []) this.#row(rival.name, "", rival.title);
    if (question) this.#row("others", "", "All others, where they are not judged one by one");
    if (question) this.bearings.querySelector("input")?.focus();
  }

  #row(rival, given, title = "") {
    const name = rival.replace(/^hypotheses\//, "");
    if (this.#rows.has(name)) return;
    const words = title || this.bench.listing.questions.flatMap(one => one.rivals).find(one => one.name === name)?.title || name;
    const absent = given !== null && typeof given === "object";
    const control = input({ list: "ladder", value: absent ? `not seen: would show ${given["would-show"]}` : String(given), disabled: absent });
    this.#rows.set(name, { control, kept: absent ? given : null });
    this.bearings.append(field(words, control, { at: `bearing.${name}` }));
  }

  // Marks and bearings as an entry has them.
  get marks() {
    const made = this.bench.marks.tracks.filter(track => track.points.length >= track.least).map(({ label, shape, points }) => {
      const [[x, y], other] = points;
      if (shape === "point") return { label, point: [x, y] };
      if (shape === "box" && other) return { label, box: [Math.min(x, other[0]), Math.min(y, other[1]), Math.max(x, other[0]), Math.max(y, other[1])] };
      return { label, [shape]: points };
    });
    return [...made, ...this.#others];
  }

  get bearing() {
    return Object.fromEntries([...this.#rows].map(([name, { control, kept }]) => [name, kept ?? control.value.trim()]));
  }
}
