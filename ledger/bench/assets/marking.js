// The line that tells what is being marked, and how to go on with the keyboard.

import { counted } from "./tracks.js";
import { pointName } from "./marks.js";

export class Marking {
  constructor(stage, root) {
    this.stage = stage;
    this.root = root;
    const soon = () => requestAnimationFrame(() => this.tell());
    stage.marks.on(soon);
    for (const event of ["focusin", "focusout", "keyup", "pointerup"]) stage.root.addEventListener(event, soon);
    this.tell();
  }

  tell() {
    const text = this.#text();
    if (this.root.textContent !== text) this.root.textContent = text;
  }

  #text() {
    const { about, marks, cross, root } = this.stage;
    const track = marks.track(marks.active);
    if (!about || !track) return "";
    const chosen = root.contains(document.activeElement) && document.activeElement.closest(".point") ? marks.selected : null;
    const held = chosen && marks.track(chosen.key);
    const arrows = held ? ` Arrows move ${held.label}, ${pointName(held, chosen.index)}.` : "";
    if (!marks.room) {
      const other = marks.tracks.some(one => one.points.length < one.most);
      return `${track.label} has all its points.${other ? " N goes on to what else can be marked." : ""}${arrows}`;
    }
    const how = cross ? " Arrows move the cross, Enter sets a point there." : held ? " Enter goes on to the cross." : "";
    return `Marking ${track.label}: ${counted(track)}.${how}${arrows}`;
  }
}
