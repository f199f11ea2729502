// The stage: photograph, marks, loupe and cross, painted at most once a frame.

import { number } from "./elements.js";
import { Loupe } from "./loupe.js";
import { Overlay } from "./overlay.js";
import { Picture } from "./picture.js";
import { View } from "./view.js";

export class Stage {
  view = new View();
  picture = new Picture();
  about = null;
  // Where the keyboard's cross stands in the picture, while it is shown.
  cross = null;
  // What the loupe looks at, or null.
  looked = null;

  constructor(root, marks) {
    this.root = root;
    this.marks = marks;
    this.canvas = root.querySelector("#photo");
    this.overlay = new Overlay(root.querySelector("#marks"), marks, this.view);
    this.loupe = new Loupe(root.querySelector("#loupe"), this.view, this.picture);
    this.where = document.getElementById("where");
    this.switch = document.getElementById("loupe-on");
    this.switch.addEventListener("change", () => this.paint());
    this.view.on(() => this.paint(true));
    marks.on(() => this.paint());
    new ResizeObserver(() => this.#resize()).observe(root);
    this.#resize();
  }

  async load(about) {
    this.about = about;
    this.cross = null;
    this.looked = null;
    this.view.picture = about;
    this.view.fit();
    const empty = document.getElementById("empty");
    empty.hidden = false;
    empty.textContent = "Opening the photograph …";
    this.root.dataset.shown = "";
    this.root.dataset.file = about.file;
    const wrong = await this.picture.load(about, seen => {
      empty.hidden = true;
      if (!this.root.dataset.shown || seen !== "smaller copies") this.root.dataset.shown = seen;
      this.paint(true);
    });
    if (wrong) {
      empty.hidden = false;
      empty.textContent = wrong;
    }
    this.root.setAttribute("aria-label", `${about.file}, ${about.width} by ${about.height} pixels`);
  }

  clear(words) {
    this.about = null;
    const empty = document.getElementById("empty");
    empty.hidden = false;
    empty.textContent = words;
    this.paint(true);
  }

  // `photograph`: whether it has to be drawn again too, and not only what lies over it.
  paint(photograph = false) {
    this.#photograph ||= photograph;
    if (this.#asked) return;
    this.#asked = true;
    requestAnimationFrame(() => {
      this.#asked = false;
      if (this.#photograph) this.#draw();
      this.#photograph = false;
      this.overlay.draw();
      this.overlay.cross(this.cross && this.view.screen(this.cross));
      if (this.looked && this.about && this.switch.checked) this.loupe.show(this.looked);
      else this.loupe.hide();
      this.#tell();
    });
  }

  #asked = false;
  #photograph = false;

  #draw() {
    const context = this.canvas.getContext("2d", { alpha: false });
    const ratio = this.canvas.width / this.view.width;
    context.fillStyle = getComputedStyle(this.root).backgroundColor;
    context.fillRect(0, 0, this.canvas.width, this.canvas.height);
    if (this.about) {
      const { x, y, scale } = this.view;
      this.picture.draw(context, x, y, scale * ratio, this.canvas.width, this.canvas.height);
    }
  }

  #tell() {
    const { point, selected } = this.marks;
    const at = this.cross ?? point ?? this.looked;
    const name = !this.cross && point ? `${this.marks.track(selected.key).label}, point ${selected.index + 1}: ` : this.cross ? "cross: " : "";
    const text = this.about && at ? `${name}${number(at[0])}, ${number(at[1])} px` : "";
    if (this.where.textContent !== text) this.where.textContent = text;
    const zoom = this.about ? `${this.about.width} × ${this.about.height} px, shown at ${Math.round(100 * this.view.scale)} %` : "";
    document.getElementById("zoom").textContent = zoom;
  }

  #resize() {
    const { clientWidth: width, clientHeight: height } = this.root;
    if (!width || !height) return;
    const ratio = devicePixelRatio || 1;
    this.canvas.width = Math.round(width * ratio);
    this.canvas.height = Math.round(height * ratio);
    this.view.resize(width, height);
  }
}
