// The marks drawn over the photograph or recording. Each point is one element that keeps its focus while everything moves.

import { drawn, set } from "./elements.js";
import { ends, pointName } from "./marks.js";

const COLOURS = 6;
const CLOSED = new Set(["polygon"]);
// Beyond so many, points of a row or rim carry no numbers.
const NUMBERED = 12;
// So much of a point is seen beyond the edge of a recording.
const OVER = 7;
// A label stands on a line that is so wide, and above one that is not.
const BESIDE = 60;

export class Overlay {
  #stage;
  #groups = new Map();
  #ordered = "";
  #cross = drawn("path", { class: "cross", d: "M-16 0H-4M4 0H16M0 -16V-4M0 4V16" });
  #upright = drawn("path", { class: "upright" });
  #time = drawn("text", { class: "label" });
  #heard = drawn("path", { class: "upright heard" });
  #line = { under: drawn("path", { class: "followed under" }), over: drawn("path", { class: "followed" }) };
  #held = drawn("rect");
  #all = drawn("g");

  constructor(svg, stage) {
    this.#stage = stage;
    const clip = drawn("clipPath", { id: "held" }, this.#held);
    this.#all.append(this.#line.under, this.#line.over, this.#heard, this.#upright, this.#time);
    svg.append(clip, this.#all, this.#cross);
  }

  get #view() {
    return this.#stage.view;
  }

  // The element of a point, for the focus to go there.
  node(key, index) {
    return this.#groups.get(key)?.points[index] ?? null;
  }

  draw() {
    this.#hold();
    const kept = new Set();
    this.#stage.marks.tracks.forEach((track, place) => {
      kept.add(track.key);
      this.#track(track, place);
    });
    for (const [key, group] of this.#groups) {
      if (!kept.has(key)) {
        group.all.remove();
        this.#groups.delete(key);
      }
    }
    this.#inOrder([...kept]);
    this.#guides();
  }

  // Tab goes from point to point in the order of what is marked.
  #inOrder(keys) {
    if (keys.join() === this.#ordered) return;
    this.#ordered = keys.join();
    for (const key of keys) this.#all.insertBefore(this.#groups.get(key).all, this.#heard);
  }

  // On a recording nothing is drawn over the axes.
  #hold() {
    if (!this.#stage.listening) {
      this.#all.removeAttribute("clip-path");
      return;
    }
    const { left, right, bottom } = this.#view.frame;
    set(this.#held, { x: left - OVER, y: 0, width: right - left + 2 * OVER, height: bottom });
    set(this.#all, { "clip-path": "url(#held)" });
  }

  // Cross, and on a recording the upright line of a time, what is heard, and the line of the tone.
  #guides() {
    const { cross, looked, listening, player, line } = this.#stage;
    const view = this.#view;
    show(this.#cross, Boolean(cross));
    if (cross) set(this.#cross, { transform: `translate(${view.screen(cross).join(" ")})` });
    const at = listening ? cross ?? looked : null;
    show(this.#upright, Boolean(at));
    show(this.#time, Boolean(at));
    if (at) {
      const { left, right, bottom } = view.frame;
      const x = Math.min(Math.max(view.screen(at)[0], left), right);
      set(this.#upright, { d: `M${x} 0V${bottom}` });
      const near = x > right - 70;
      set(this.#time, { x: near ? x - 6 : x + 6, y: bottom - 8, "text-anchor": near ? "end" : "start" });
      this.#time.textContent = view.words(at.slice(0, 1));
    }
    const heard = listening && player?.time !== null && player?.time !== undefined;
    show(this.#heard, heard);
    if (heard) set(this.#heard, { d: `M${view.screen([player.time])[0]} 0V${view.frame.bottom}` });
    const followed = listening ? line.map(one => view.screen(one).map(value => value.toFixed(1)).join(" ")).join("L") : "";
    for (const path of Object.values(this.#line)) set(path, { d: followed && `M${followed}` });
  }

  #track(track, place) {
    let group = this.#groups.get(track.key);
    if (!group) {
      group = { all: drawn("g"), area: drawn("path"), under: drawn("path"), over: drawn("path"), label: drawn("text"), points: [] };
      group.all.append(group.area, group.under, group.over, group.label);
      this.#groups.set(track.key, group);
    }
    const live = track.key === this.#stage.marks.active ? " active" : "";
    set(group.all, { class: `track mark-${place % COLOURS}${live}` });
    const at = track.points.map(point => this.#view.screen(point));
    const line = this.#path(track, at);
    set(group.area, { class: "area", d: track.shape === "span" && at.length === 2 ? `M${at[0][0]} 0H${at[1][0]}V${this.#view.frame.bottom}H${at[0][0]}Z` : "" });
    set(group.under, { class: "line under", d: line });
    set(group.over, { class: `line of-${track.shape}`, d: line });
    this.#points(track, group, at);
    this.#label(track, group.label, at);
  }

  #path({ shape, points }, at) {
    if (shape === "span") return at.map(([x]) => `M${x.toFixed(1)} 0V${this.#view.frame.bottom}`).join("");
    if (shape === "guide") return path(shape, at.map((one, index) => [one, points[index][0]]).sort((one, other) => one[1] - other[1]).map(([one]) => one));
    return path(shape, at);
  }

  #points(track, group, at) {
    while (group.points.length > at.length) group.points.pop().remove();
    while (group.points.length < at.length) {
      const point = pointNode();
      group.all.append(point);
      group.points.push(point);
    }
    const selected = this.#stage.marks.selected;
    at.forEach(([x, y], index) => {
      const node = group.points[index];
      const chosen = selected?.key === track.key && selected.index === index;
      const many = track.shape === "span" ? "" : ` of ${at.length}`;
      set(node, {
        class: chosen ? "point chosen" : "point",
        transform: `translate(${x.toFixed(2)} ${y.toFixed(2)})`,
        "aria-label": `${track.label}, ${pointName(track, index)}${many}, at ${this.#view.words(track.points[index])}`,
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
    const wide = at.length === 2 && track.shape !== "box" && Math.abs(at[0][0] - at[1][0]) > BESIDE;
    let [x, y] = wide ? [(at[0][0] + at[1][0]) / 2, (at[0][1] + at[1][1]) / 2 - 12] : topmost(at);
    const { width } = this.#view;
    x = Math.min(Math.max(x, 8), width - 8);
    const anchor = x < 90 ? "start" : x > width - 90 ? "end" : "middle";
    if (y < 16 && y > -40) y += 40;
    set(node, { class: "label", x: x.toFixed(1), y: y.toFixed(1), "text-anchor": anchor });
  }
}

function show(node, shown) {
  node.style.display = shown ? "" : "none";
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
