// Asking before anything is lost that was marked or written and not saved.

import { element } from "./elements.js";

export class Leaving {
  #clean = "";
  #answer = () => {};

  constructor(bench) {
    this.bench = bench;
    this.lost = element("ul");
    const go = yes => () => {
      this.dialog.close();
      this.#answer(yes);
    };
    this.dialog = element("dialog", { class: "leaving", "aria-labelledby": "leaving-title", oncancel: () => this.#answer(false) },
      element("h2", { id: "leaving-title" }, "This is not saved yet"), this.lost,
      element("div", { class: "buttons" },
        element("button", { type: "button", class: "main", onclick: go(false) }, "Go back to it"),
        element("button", { type: "button", onclick: go(true) }, "Drop it and go on")));
    document.body.append(this.dialog);
    addEventListener("beforeunload", event => {
      if (this.unsaved.length) event.preventDefault();
    });
  }

  // What stands here now is saved, or empty.
  clean() {
    this.#clean = this.#content().join("\n");
  }

  // What would be lost, in words.
  get unsaved() {
    const { bench } = this;
    const told = bench.elsewhere.map(({ file, count }) => `${count} ${count > 1 ? "marks" : "mark"} on ${file}${file === bench.file ? ", made in another way" : ""}`);
    const names = ["the marks here", "what is known or how it bears", "the title or other words"];
    const clean = this.#clean.split("\n");
    return [...this.#content().map((one, place) => (one === clean[place] ? null : names[place])).filter(Boolean), ...told];
  }

  // Resolves to whether what is here may be dropped.
  async ask() {
    const { unsaved } = this;
    if (!unsaved.length) return true;
    this.lost.replaceChildren(...unsaved.map(one => element("li", {}, one)));
    this.dialog.showModal();
    return new Promise(done => { this.#answer = done; });
  }

  #content() {
    const { bench } = this;
    const marked = bench.marks.tracks.filter(track => track.points.length || track.free).map(({ key, shape, label, points }) => [key, shape, label, points]);
    const bearing = Object.entries(bench.note.bearing).filter(([, given]) => given);
    return [marked, [bench.form.typed, bearing], bench.saving.typed].map(one => JSON.stringify(one));
  }
}
