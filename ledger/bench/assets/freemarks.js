// Marks of an entry's own: boxes, polygons, lines and points on a photograph, spans on a recording. What cannot be drawn
// over what is open, such as a page of a book or a time outside of the passage kept, is listed and stays as it is.

import { element, input } from "./elements.js";
import { ends } from "./marks.js";
import { TrackList } from "./tracks.js";

const SHAPES = {
  point: { least: 1, most: 1, label: "Point" },
  line: { least: 2, most: 2, label: "Line" },
  box: { least: 2, most: 2, label: "Box" },
  polygon: { least: 3, most: 200, label: "Polygon" },
  span: { least: 2, most: 2, label: "Span of time" },
};
const OF = { photograph: ["point", "line", "box", "polygon"], recording: ["span"] };

export class FreeMarks {
  #made = 0;
  // In the order of the entry: the keys of tracks, and marks that are kept as they are.
  #order = [];

  constructor(bench) {
    this.bench = bench;
    this.list = new TrackList(bench.marks, { at: "marks." });
    this.adders = element("div", { class: "adders", role: "group", "aria-label": "Add a mark" });
    this.kept = element("ul", { class: "kept" });
    this.root = element("div", { class: "free-marks" }, this.adders, this.list.root, this.kept);
    bench.marks.on(what => {
      if (what === "tracks") this.#list();
    });
  }

  // Tracks of the marks of an entry, or of those that were kept from before. `medium` of what is open, or none.
  tracks(marks, medium) {
    this.#order = [];
    const tracks = [];
    for (const mark of marks) {
      const track = mark.free ? mark : this.#track(mark, medium);
      this.#order.push(track ? track.key : mark);
      if (track) tracks.push(track);
    }
    this.adders.replaceChildren(...(OF[medium] ?? []).map(shape => element("button", { type: "button", onclick: () => this.#add(shape) }, SHAPES[shape].label)));
    return tracks;
  }

  #add(shape) {
    this.#made += 1;
    const { least, most } = SHAPES[shape];
    const { marks, stage } = this.bench;
    const number = marks.tracks.filter(track => track.free && track.shape === shape).length + 1;
    marks.addTrack({ key: `mark ${this.#made}`, label: `${shape} ${number}`, shape, free: true, least, most, points: [] });
    stage.root.scrollIntoView({ block: "nearest" });
    stage.root.focus({ preventScroll: true });
  }

  #track(mark, medium) {
    const shape = Object.keys(SHAPES).find(one => one in mark);
    if (!shape || (shape === "span") !== (medium === "recording")) return null;
    const given = mark[shape];
    if (shape === "span" && given.some(time => time < 0 || time > this.bench.stage.about.duration)) return null;
    this.#made += 1;
    const points = { point: () => [given], box: () => [given.slice(0, 2), given.slice(2)], span: () => given.map(time => [time]) }[shape]?.() ?? given;
    const { least, most } = SHAPES[shape];
    return { key: `mark ${this.#made}`, label: mark.label, shape, free: true, least, most, points: points.map(one => [...one]) };
  }

  #list() {
    const { marks } = this.bench;
    const free = marks.tracks.filter(track => track.free);
    const had = [...this.list.rows.keys()].join();
    if (had !== free.map(track => track.key).join() || !free.length) {
      this.list.show(free.map(track => ({
        key: track.key, label: track.label, form: track.shape === "span" ? "span" : "point",
        extra: element("div", { class: "mark-name" },
          input({ "aria-label": `Label of ${track.label}`, value: track.label, oninput: event => marks.relabel(track.key, event.target.value) }),
          element("button", { type: "button", class: "small", "aria-label": `Delete ${track.label}`, onclick: () => marks.removeTrack(track.key) }, "Delete")),
      })), marks.tracks.length - free.length);
    }
    const kept = this.#order.filter(one => typeof one !== "string");
    this.kept.replaceChildren(...kept.map(mark => element("li", {}, element("span", {}, `${mark.label}: ${this.#words(mark)}`),
      element("button", { type: "button", class: "small", "aria-label": `Delete ${mark.label}`, onclick: () => this.#drop(mark) }, "Delete"))));
  }

  #words(mark) {
    if (mark.page !== undefined) return `page ${mark.page}`;
    if (mark.clause !== undefined) return `clause ${mark.clause}`;
    if (mark.span) return `${mark.span.join(" to ")} s, not in what is open`;
    return "not on what is open";
  }

  #drop(mark) {
    this.#order = this.#order.filter(one => one !== mark);
    this.#list();
    this.bench.changed();
  }

  // Tracks and marks that are kept as they are, in the order of the entry.
  get all() {
    const tracks = new Map(this.bench.marks.tracks.filter(track => track.free).map(track => [track.key, track]));
    const added = [...tracks.keys()].filter(key => !this.#order.includes(key));
    return [...this.#order, ...added].map(one => (typeof one === "string" ? tracks.get(one) : one)).filter(Boolean);
  }

  // Those that are whole.
  get #whole() {
    return this.all.filter(one => !one.free || one.points.length >= one.least);
  }

  // Marks as an entry has them.
  get value() {
    return this.#whole.map(one => (one.free ? written(one) : one));
  }

  // Where a fault of a mark of `value` is told: `marks.2.box` is told at the row of the second.
  place(path) {
    const [, number, rest] = /^marks\.(\d+)(.*)$/.exec(path) ?? [];
    const one = number === undefined ? null : this.#whole[Number(number) - 1];
    return one?.free ? `marks.${one.key}${rest}` : path;
  }

  // Marks that were begun: nothing of them is left out without a word.
  get unfinished() {
    return this.bench.marks.tracks.filter(track => track.free && track.points.length < track.least).map(track => ({
      field: `marks.${track.key}`, given: `${track.points.length} of ${track.least} points of \`${track.label}\``, expected: "a whole mark",
      remedy: "Set its other points, or delete it.", missing: false,
    }));
  }
}

function written(track) {
  const { label, shape, points } = track;
  const [first, other] = points;
  if (shape === "point") return { label, point: first };
  if (shape === "span") return { label, span: ends(track).map(index => points[index][0]) };
  if (shape === "box" && other) return { label, box: [Math.min(first[0], other[0]), Math.min(first[1], other[1]), Math.max(first[0], other[0]), Math.max(first[1], other[1])] };
  return { label, [shape]: points };
}
