// The bench: what is chosen, and how the parts hear of it.

import { get, send } from "./asking.js";
import { Choosing } from "./choosing.js";
import { element } from "./elements.js";
import { FreeMarks } from "./freemarks.js";
import { followKeys } from "./keys.js";
import { Leaving } from "./leaving.js";
import { Marking } from "./marking.js";
import { Marks } from "./marks.js";
import { MethodForm } from "./methodform.js";
import { NoteForm } from "./noteform.js";
import { Player } from "./player.js";
import { followPointers } from "./pointer.js";
import { Rectified } from "./rectified.js";
import { Result } from "./result.js";
import { Saving } from "./saving.js";
import { Shelf } from "./shelf.js";
import { Stage } from "./stage.js";
import { followTools } from "./toolbar.js";

const byId = id => document.getElementById(id);
const EMPTY = "Choose a photograph or a recording.";

class Bench {
  root = byId("choose");
  marks = new Marks();
  shelf = new Shelf();
  kind = "measurement";
  file = null;
  method = null;
  entry = null;
  listing = null;
  // Counts what was begun, so that a late answer is known for one.
  turn = 0;
  #wanted = null;
  // The way of measuring that was used last, by medium.
  #last = {};

  constructor() {
    this.stage = new Stage(byId("stage"), this.marks);
    this.stage.player = new Player(this.stage, byId("play"));
    this.free = new FreeMarks(this);
    this.form = new MethodForm(this);
    this.note = new NoteForm(this);
    this.result = new Result(this);
    this.rectified = new Rectified(this);
    this.saving = new Saving(this);
    this.choosing = new Choosing(this);
    this.leaving = new Leaving(this);
    this.marking = new Marking(this.stage, byId("marking"));
    this.formSide = element("div", { class: "form-side" });
    this.stage.root.parentElement.append(this.result.root);
    byId("panel").append(this.formSide, this.rectified.root, this.saving.root);
    this.marks.on(what => {
      if (what === "points" || what === "tracks" || what === "stated") this.changed();
    });
    const placed = point => this.#placed(point);
    followPointers(this.stage, placed);
    this.settle = followKeys(this.stage, placed);
    followTools(this);
  }

  async start() {
    if (!await this.refresh()) return;
    this.saving.start(this.kind);
    this.#show();
    this.leaving.clean();
    this.stage.clear(this.listing.files.length ? EMPTY : "Put a photograph into the investigation’s folder, then look for new files.");
    document.body.dataset.ready = "true";
  }

  async refresh() {
    const listing = await get("listing");
    this.choosing.complain(listing.wrong ?? []);
    if (listing.wrong) return false;
    this.listing = listing;
    byId("investigation").textContent = listing.title;
    document.title = `Measuring bench – ${listing.title}`;
    this.choosing.fill(listing);
    this.saving.fill();
    this.method ??= listing.methods[0];
    this.#told();
    return true;
  }

  // Something was marked or stated.
  changed() {
    this.result.ask();
  }

  // Marks that are not saved are kept by photograph; those of an entry belong to its own photograph alone.
  get owner() {
    return this.entry ?? "";
  }

  keep() {
    this.shelf.keep(this.owner, this.file, this.kind, this.marks.tracks, this.free.all);
    this.form.remember();
  }

  kept(key, shape) {
    return this.shelf.points(this.owner, this.file, this.kind, key, shape);
  }

  keptOwn() {
    return this.shelf.own(this.owner, this.file, this.kind);
  }

  // Files with marks that are not saved and not on the stage.
  get elsewhere() {
    return this.shelf.others(this.owner, this.file, this.kind, this.marks.tracks);
  }

  // A photograph or recording was chosen: {file, source}, or null for none.
  async choose(chosen) {
    const file = chosen?.file ?? null;
    if (file === this.file) {
      this.#wanted = file;
      return this.#told();
    }
    // An entry whose own picture is not here takes another; else another picture begins another entry.
    const takes = this.entry !== null && this.file === null;
    if (this.entry !== null && !takes) {
      if (!await this.leaving.ask()) return this.#told();
      this.#blank();
    }
    if (!await this.#look(file, () => this.keep())) return;
    if (takes && this.file) this.keep();
    if (!takes || this.file) this.#show();
    this.saving.chosen(chosen?.source);
    this.#told();
  }

  // Open a file, or none; say what is wrong with it. Resolves to whether it is still wanted by then; `leave` is called
  // just before.
  async #look(file, leave = () => {}) {
    this.#wanted = file;
    this.choosing.complain([]);
    this.result.forget();
    const about = file ? await get("picture", { file }) : null;
    if (this.#wanted !== file) return false;
    leave();
    const opened = about && !about.wrong ? about : null;
    this.file = opened ? file : null;
    this.stage.player.open(opened?.medium === "recording" ? file : null);
    if (opened) this.stage.load(opened);
    else this.stage.clear(about ? "This file cannot be opened." : EMPTY);
    this.choosing.complain(about?.wrong ?? []);
    const medium = opened?.medium ?? this.method.medium;
    if (this.method.medium !== medium) this.method = this.#last[medium] ?? this.listing.methods.find(one => one.medium === medium);
    return true;
  }

  // Show the form of what is to come of it, with the marks that are kept for it, or with those of an entry.
  #show(front = null) {
    this.turn += 1;
    const measures = this.kind === "measurement";
    if (measures) this.form.show(this.method, front?.picked ?? null, front ? front.marks ?? [] : null);
    else this.note.show(front);
    this.formSide.replaceChildren((measures ? this.form : this.note).root);
    this.rectified.root.hidden = !measures || !this.method.plane;
    if (measures && !front) this.saving.suggest(this.method.title);
    this.#told();
    this.result.forget();
    this.result.ask();
  }

  use(name) {
    this.keep();
    this.method = this.listing.methods.find(one => one.name === name);
    this.#last[this.method.medium] = this.method;
    this.#show();
  }

  make(kind) {
    this.keep();
    this.kind = kind;
    this.saving.start(kind);
    this.#show();
  }

  async open(ref) {
    if (!await this.leaving.ask()) return this.#told();
    if (!ref) return this.#blank();
    const entry = await get("entry", { ref });
    if (entry.wrong) {
      this.choosing.complain(entry.wrong);
      return this.#told();
    }
    const source = String(entry.front.source).replace(/^sources\//, "");
    const file = entry.front.picked?.file ?? this.listing.sources.find(one => one.name === source)?.file ?? null;
    if ((file !== this.file || !file) && !await this.#look(file)) return;
    this.shelf.drop(this.owner);
    this.kind = entry.kind;
    this.entry = ref;
    if (entry.kind === "measurement") this.method = this.listing.methods.find(one => one.name === entry.front.picked.by);
    this.#show(entry.front);
    this.saving.chosen(source);
    this.saving.open(entry);
    this.leaving.clean();
    this.#told();
  }

  async anew() {
    if (await this.leaving.ask()) this.#blank();
    else this.#told();
  }

  // A new entry on what is open. What was not saved is dropped.
  #blank() {
    this.shelf.drop(this.owner);
    this.entry = null;
    this.note.empty();
    this.saving.close();
    this.#show();
    this.leaving.clean();
  }

  // It was written and posted: from now on it is revised, unless something else was begun meanwhile.
  async saved(file, turn) {
    if (turn === this.turn) {
      this.shelf.drop(this.owner, this.file, this.kind);
      this.entry = file.ref;
      this.saving.revise(file);
      this.leaving.clean();
    }
    await this.refresh();
  }

  // The line of the tone that a measurement listens to.
  async follow(picks) {
    const answer = await send("followed", picks);
    this.stage.line = answer.line ?? [];
    this.stage.paint();
  }

  #told() {
    this.choosing.tell(this);
    this.saving.root.hidden = !this.file && !this.entry;
  }

  #placed(point) {
    const made = this.marks.add(point);
    const { stage } = this;
    if (!made) {
      const track = this.marks.track(this.marks.active);
      stage.say(track ? `No point was set: ${track.label} has all its points. Drag them, or choose what else to mark.` : "No point was set: choose what to mark first.");
      return;
    }
    stage.cross = null;
    stage.overlay.draw();
    stage.overlay.node(made.key, made.index)?.focus({ preventScroll: true });
  }
}

new Bench().start();
