// The stage: photograph or recording, marks, loupe and cross, painted at most once a frame.

import { Loupe } from "./loupe.js";
import { pointName } from "./marks.js";
import { Overlay } from "./overlay.js";
import { Picture } from "./picture.js";
import { Sound } from "./sound.js";
import { SoundView } from "./soundview.js";
import { View } from "./view.js";

export class Stage {
  picture = new Picture();
  // What is on it: a photograph's or a recording's measures, or null.
  about = null;
  // Where the keyboard's cross stands, while it is shown.
  cross = null;
  // What is looked at: under the loupe of a photograph, at the line of a recording; or null.
  looked = null;
  // The line of a tone that is followed in a recording, [[time, frequency], …].
  line = [];
  player = null;
  // What was said last of a press or key that did not do what was perhaps meant; "" once something else is done.
  said = "";
  // Resolves once what was opened is to be seen, or cannot be.
  opened = Promise.resolve();

  constructor(root, marks) {
    this.root = root;
    this.marks = marks;
    this.views = { photograph: new View(), recording: new SoundView() };
    this.canvas = root.querySelector("#photo");
    this.overlay = new Overlay(root.querySelector("#marks"), this);
    this.loupe = new Loupe(root.querySelector("#loupe"), this.views.photograph, this.picture);
    this.sound = new Sound(this.views.recording);
    this.empty = document.getElementById("empty");
    this.where = document.getElementById("where");
    this.switch = document.getElementById("loupe-on");
    this.switch.addEventListener("change", () => this.paint());
    for (const view of Object.values(this.views)) view.on(() => this.paint(true));
    marks.on(() => this.paint());
    new ResizeObserver(() => this.#resize()).observe(root);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.paint(true));
    this.#resize();
  }

  get listening() {
    return this.about?.medium === "recording";
  }

  get view() {
    return this.listening ? this.views.recording : this.views.photograph;
  }

  async load(about) {
    this.#open(about, about.medium === "recording" ? "Opening the recording …" : "Opening the photograph …");
    const seen = what => {
      if (this.about !== about) return;
      this.empty.hidden = true;
      if (!this.root.dataset.shown || (what !== "smaller copies" && what !== "finer")) this.root.dataset.shown = what;
      if (what === "finer") this.root.dataset.finer = String(Number(this.root.dataset.finer ?? 0) + 1);
      this.paint(true);
    };
    if (this.listening) {
      this.view.sound = about;
      this.root.setAttribute("aria-label", `${about.file}, ${about.duration.toFixed(2)} seconds`);
    } else {
      this.view.picture = about;
      this.root.setAttribute("aria-label", `${about.file}, ${about.width} by ${about.height} pixels`);
    }
    this.view.fit();
    const loading = (this.listening ? this.sound : this.picture).load(about, seen);
    this.opened = this.listening ? loading : Promise.resolve();
    const wrong = await loading;
    if (this.about !== about || !wrong?.length) return;
    this.empty.hidden = false;
    this.empty.textContent = typeof wrong === "string" ? wrong : wrong.map(one => one.remedy).join(" ");
  }

  say(words) {
    this.said = words;
    this.paint();
  }

  hush() {
    if (this.said) this.say("");
  }

  clear(words) {
    this.#open(null, words);
    this.root.setAttribute("aria-label", "Nothing is open yet");
    this.paint(true);
  }

  #open(about, words) {
    this.sound.close();
    this.about = about;
    this.cross = null;
    this.looked = null;
    this.said = "";
    this.line = [];
    this.empty.hidden = false;
    this.empty.textContent = words;
    this.root.dataset.shown = "";
    this.root.dataset.file = about?.file ?? "";
    this.root.setAttribute("aria-roledescription", this.listening ? "recording to mark" : "photograph to mark");
    document.body.dataset.medium = about?.medium ?? "";
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
      if (this.looked && this.about && !this.listening && this.switch.checked) this.loupe.show(this.looked);
      else this.loupe.hide();
      this.#tell();
    });
  }

  #asked = false;
  #photograph = false;

  #draw() {
    const context = this.canvas.getContext("2d", { alpha: false });
    const ratio = this.canvas.width / this.view.width;
    const style = getComputedStyle(this.root);
    context.fillStyle = style.backgroundColor;
    context.fillRect(0, 0, this.canvas.width, this.canvas.height);
    if (this.listening) {
      const colour = Object.fromEntries(["ink", "edge", "share"].map(name => [name, style.getPropertyValue(`--wl-${name}`)]));
      context.setTransform(ratio, 0, 0, ratio, 0, 0);
      this.sound.draw(context, colour);
      context.setTransform(1, 0, 0, 1, 0, 0);
    } else if (this.about) {
      const { x, y, scale } = this.view;
      this.picture.draw(context, x, y, scale * ratio, this.canvas.width, this.canvas.height);
    }
  }

  #tell() {
    const { point, selected } = this.marks;
    const at = this.cross ?? point ?? this.looked;
    const track = selected && this.marks.track(selected.key);
    const name = this.cross ? "cross: " : point ? `${track.label}, ${pointName(track, selected.index)}: ` : "";
    const text = this.said || (this.about && at ? `${name}${this.view.words(at)}` : "");
    if (this.where.textContent !== text) this.where.textContent = text;
    const pieces = this.listening && this.sound.inPieces ? "; pieces of it are drawn: zoom in for all" : "";
    document.getElementById("zoom").textContent = this.about ? this.view.shown + pieces : "";
  }

  #resize() {
    const { clientWidth: width, clientHeight: height } = this.root;
    if (!width || !height) return;
    const ratio = devicePixelRatio || 1;
    this.canvas.width = Math.round(width * ratio);
    this.canvas.height = Math.round(height * ratio);
    for (const view of Object.values(this.views)) view.resize(width, height);
    this.paint(true);
  }
}
