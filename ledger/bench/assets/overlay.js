// The marks drawn over the photograph. Each point is one element that keeps its focus while everything moves.

import { drawn, number, set } from "./elements.js";

const COLOURS = 6;
const CLOSED = new Set(["polygon"]);
// Beyond so many, points of a row or rim carry no numbers.
const NUMBERED = 12;

export class Overlay {
  #svg;
  #marks;
  #view;
  #groups = new Map();
  #cross;

  constructor(svg, marks, view) {
    this.#svg = svg;
    this.#marks = marks;
    this.#view = view;
    this.#cross = drawn("path", { class: "cross", d: "M-16 0H-4M4 0H16M0 -16V-4M0 4V16" });
    this.#cross.style.display = "none";
    svg.append(this.#cross);
  }

  // The element of a point, for the focus to go there.
  node(key, index) {
    return this.#groups.get(key)?.points[index] ?? null;
  }

  cross(at) {
    this.#cross.style.display = at ? "" : "none";
    if (at) set(this.#cross, { transform: `translate(${at[0]} ${at[1]})` });
  }

  draw() {
    const kept = new Set();
    this.#marks.tracks.forEach((track, place) => {
      kept.add(track.key);
      this.#track(track, place);
    });
    for (const [key, group] of this.#groups) {
      if (!kept.has(key)) {
        group.all.remove();
        this.#groups.delete(key);
      }
    }
  }

  #track(track, place) {
    let group = this.#groups.get(track.key);
    if (!group) {
      group = { all: drawn("g"), under: drawn("path"), over: drawn("path"), label: drawn("text"), points: [] };
      group.all.append(group.under, group.over, group.label);
      this.#svg.insertBefore(group.all, this.#cross);
      this.#groups.set(track.key, group);
    }
    const live = track.key === this.#marks.active ? " active" : "";
    set(group.all, { class: `track mark-${place % COLOURS}${live}` });
    const at = track.points.map(point => this.#view.screen(point));
    const line = path(track.shape, at);
    set(group.under, { class: "line under", d: line });
    set(group.over, { class: `line ${track.shape}`, d: line });
    this.#points(track, group, at);
    this.#label(track, group.label, at);
  }

  #points(track, group, at) {
    while (group.points.length > at.length) group.points.pop().remove();
    while (group.points.length < at.length) {
      const point = pointNode();
      group.all.append(point);
      group.points.push(point);
    }
    const selected = this.#marks.selected;
    at.forEach(([x, y], index) => {
      const node = group.points[index];
      const [across, down] = track.points[index];
      const chosen = selected?.key === track.key && selected.index === index;
      set(node, {
        class: chosen ? "point chosen" : "point",
        transform: `translate(${x.toFixed(2)} ${y.toFixed(2)})`,
        "aria-label": `${track.label}, point ${index + 1} of ${at.length}, at ${number(across)}, ${number(down)}`,
        "data-key": track.key,
        "data-index": index,
      });
      const text = at.length > 2 && at.length <= NUMBERED ? String(index + 1) : "";
      if (node.lastChild.textContent !== text) node.lastChild.textContent = text;
    });
  }

  #label(track, node, at) {
    const text = at.length ? track.label : "";
    if (node.textContent !== text) node.textContent = text;
    if (!at.length) return;
    let [x, y] = at.length === 2 && track.shape !== "box" ? [(at[0][0] + at[1][0]) / 2, (at[0][1] + at[1][1]) / 2 - 12] : topmost(at);
    x = Math.min(Math.max(x, 8), this.#view.width - 8);
    const anchor = x < 90 ? "start" : x > this.#view.width - 90 ? "end" : "middle";
    if (y < 16 && y > -40) y += 40;
    set(node, { class: "label", x: x.toFixed(1), y: y.toFixed(1), "text-anchor": anchor });
  }
}

function topmost(at) {
  const [x, y] = at.reduce((best, one) => (one[1] < best[1] ? one : best));
  return [x, y - 15];
}

function pointNode() {
  const node = drawn("g", { tabindex: 0, role: "button", "aria-roledescription": "point" });
  node.append(
    drawn("circle", { class: "catch", r: 16 }),
    drawn("circle", { class: "ring under", r: 7 }),
    drawn("circle", { class: "ring", r: 7 }),
    drawn("circle", { class: "dot", r: 1.2 }),
    drawn("text", { class: "count", x: 11, y: 15 }),
  );
  return node;
}

function path(shape, at) {
  if (at.length < 2 || shape === "point") return "";
  if (shape === "box") {
    const [[x, y], [x2, y2]] = at;
    return `M${x} ${y}H${x2}V${y2}H${x}Z`;
  }
  const order = shape === "rim" ? around(at) : at;
  const line = order.map(([x, y], index) => `${index ? "L" : "M"}${x.toFixed(1)} ${y.toFixed(1)}`).join("");
  return CLOSED.has(shape) && at.length > 2 ? `${line}Z` : line;
}

// Points of a rim in the order they lie round it, beginning after the widest gap: an arc stays an arc.
function around(at) {
  const middle = [0, 1].map(axis => at.reduce((sum, one) => sum + one[axis], 0) / at.length);
  const angle = ([x, y]) => Math.atan2(y - middle[1], x - middle[0]);
  const sorted = [...at].sort((one, other) => angle(one) - angle(other));
  let widest = 0;
  let start = 0;
  sorted.forEach((one, index) => {
    const before = index ? angle(sorted[index - 1]) : angle(sorted.at(-1)) - 2 * Math.PI;
    if (angle(one) - before > widest) {
      widest = angle(one) - before;
      start = index;
    }
  });
  const opened = [...sorted.slice(start), ...sorted.slice(0, start)];
  return widest < 1.4 && at.length > 4 ? [...opened, opened[0]] : opened;
}
