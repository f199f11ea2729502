// The bench: what is chosen, and how the parts hear of it.

import { get } from "./asking.js";
import { Choosing } from "./choosing.js";
import { element } from "./elements.js";
import { followKeys } from "./keys.js";
import { Marks } from "./marks.js";
import { MethodForm } from "./methodform.js";
import { NoteForm } from "./noteform.js";
import { followPointers } from "./pointer.js";
import { Rectified } from "./rectified.js";
import { Result } from "./result.js";
import { Saving } from "./saving.js";
import { Stage } from "./stage.js";

const byId = id => document.getElementById(id);

class Bench {
  root = byId("choose");
  marks = new Marks();
  kind = "measurement";
  file = null;
  method = null;
  entry = null;
  listing = null;

  constructor() {
    this.stage = new Stage(byId("stage"), this.marks);
    this.form = new MethodForm(this, () => this.result.ask());
    this.note = new NoteForm(this);
    this.result = new Result(this);
    this.rectified = new Rectified(this);
    this.saving = new Saving(this);
    this.choosing = new Choosing(this);
    this.formSide = element("div", { class: "form-side" });
    this.stage.root.parentElement.append(this.result.root);
    byId("panel").append(this.formSide, this.rectified.root, this.saving.root);
    this.marks.on(what => {
      if (what === "points" || what === "tracks") this.result.ask();
      this.#buttons();
    });
    const placed = point => this.#placed(point);
    followPointers(this.stage, placed);
    this.settle = followKeys(this.stage, placed);
    this.#tools();
  }

  async start() {
    if (!await this.refresh()) return;
    this.saving.start(this.kind);
    this.use(this.choosing.method.value);
    const { files } = this.listing;
    document.body.dataset.ready = "true";
    if (!files.length) this.stage.clear("Put a photograph into the investigation’s folder, then look for new files.");
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
    this.#told();
    return true;
  }

  // A photograph or recording was chosen: {file, source}, or null for none.
  async choose(chosen) {
    this.choosing.complain([]);
    this.form.keep();
    this.file = chosen?.file ?? null;
    const sound = /\.wave?$/i.test(this.file ?? "");
    this.choosing.listen(sound ? this.file : null);
    if (!this.file || sound) {
      this.stage.clear(sound ? "A recording: state times below." : "Choose a photograph.");
      if (sound && this.method?.medium !== "recording") this.use(this.listing.methods.find(one => one.medium === "recording").name);
    } else if (!await this.#look(this.file)) return;
    this.saving.chosen(chosen?.source);
    this.#told();
    this.result.ask();
  }

  async #look(file) {
    const about = await get("picture", { file });
    if (this.file !== file) return false;
    if (about.wrong) {
      this.file = null;
      this.stage.clear("This photograph cannot be opened.");
      this.choosing.complain(about.wrong);
      return false;
    }
    if (this.method?.medium === "recording") this.use(this.listing.methods[0].name);
    this.stage.load(about);
    if (this.kind === "measurement") this.form.show(this.method);
    else this.note.show();
    return true;
  }

  use(name) {
    const method = this.listing.methods.find(one => one.name === name);
    this.form.keep();
    this.form.show(method);
    this.formSide.replaceChildren(this.form.root);
    this.rectified.root.hidden = !method.plane;
    this.saving.suggest(method.title);
    this.result.forget();
    this.#told();
    this.result.ask();
  }

  make(kind) {
    this.form.keep();
    if (this.kind === "evidence") this.held = { marks: this.note.marks, bearing: this.note.bearing };
    if (kind === "measurement") this.marks.take([]);
    this.kind = kind;
    this.saving.start(kind);
    if (kind === "measurement") this.use(this.choosing.method.value);
    else {
      this.note.show(this.held);
      this.formSide.replaceChildren(this.note.root);
      this.rectified.root.hidden = true;
      this.#told();
      this.result.ask();
    }
  }

  async open(ref) {
    if (!ref) {
      this.anew();
      return;
    }
    const entry = await get("entry", { ref });
    if (entry.wrong) {
      this.choosing.complain(entry.wrong);
      this.#told();
      return;
    }
    const source = String(entry.front.source).replace(/^sources\//, "");
    const file = entry.front.picked?.file ?? this.listing.sources.find(one => one.name === source)?.file ?? null;
    this.kind = entry.kind;
    if (entry.kind === "measurement") {
      this.method = this.listing.methods.find(one => one.name === entry.front.picked.by);
      this.choosing.method.value = this.method.name;
    }
    if (file !== this.file) await this.choose(file ? { file, source } : null);
    this.entry = ref;
    if (entry.kind === "measurement") {
      this.form.show(this.method, entry.front.picked);
      this.formSide.replaceChildren(this.form.root);
      this.rectified.root.hidden = !this.method.plane;
    } else {
      this.note.show(entry.front);
      this.formSide.replaceChildren(this.note.root);
      this.rectified.root.hidden = true;
    }
    this.saving.open(entry);
    this.#told();
    this.result.ask();
  }

  anew() {
    this.entry = null;
    this.saving.close();
    this.marks.take(this.kind === "measurement" ? this.marks.tracks.map(track => ({ ...track, points: [] })) : []);
    if (this.kind === "measurement") this.saving.suggest(this.method.title);
    this.#told();
  }

  // It was written and posted: from now on it is revised.
  async saved(ref) {
    await this.refresh();
    const entry = await get("entry", { ref });
    if (entry.wrong) return;
    this.entry = ref;
    this.saving.opened = { ref, was: entry.was };
    this.saving.name.readOnly = true;
    this.saving.source.value = String(entry.front.source).replace(/^sources\//, "");
    this.saving.fresh.hidden = true;
    this.saving.heading.textContent = `Revise ${ref}`;
    this.#told();
  }

  #told() {
    this.choosing.tell({ file: this.file, kind: this.kind, method: this.method?.name, entry: this.entry });
  }

  #placed(point) {
    const made = this.marks.add(point);
    const { stage } = this;
    if (!made) {
      const track = this.marks.track(this.marks.active);
      stage.where.textContent = track ? `${track.label} has all its points: drag them, or choose what else to mark.` : "Choose what to mark first.";
      return;
    }
    stage.cross = null;
    stage.overlay.draw();
    stage.overlay.node(made.key, made.index)?.focus({ preventScroll: true });
  }

  #tools() {
    const { stage, marks } = this;
    const act = {
      nearer: () => stage.view.zoom(1.5), farther: () => stage.view.zoom(1 / 1.5), whole: () => stage.view.fit(), natural: () => stage.view.zoomTo(1),
      undo: () => this.#past(() => marks.undo()), redo: () => this.#past(() => marks.redo()),
      remove: () => marks.point && marks.remove(marks.selected.key, marks.selected.index),
      help: () => byId("keys").showModal(), "keys-close": () => byId("keys").close(),
    };
    for (const [id, does] of Object.entries(act)) byId(id).addEventListener("click", does);
    addEventListener("keydown", event => {
      if (!(event.ctrlKey || event.metaKey) || event.altKey || event.target.closest("input, textarea, dialog")) return;
      const key = event.key.toLowerCase();
      if (key === "z" || key === "y") {
        event.preventDefault();
        this.#past(() => (key === "y" || event.shiftKey ? marks.redo() : marks.undo()));
      }
    });
    this.#buttons();
  }

  #past(go) {
    this.settle();
    const focused = document.activeElement?.closest?.(".point");
    go();
    this.stage.looked = null;
    this.stage.overlay.draw();
    if (focused && !focused.isConnected) this.stage.root.focus({ preventScroll: true });
  }

  #buttons() {
    byId("undo").disabled = !this.marks.undoable;
    byId("redo").disabled = !this.marks.redoable;
    byId("remove").disabled = !this.marks.point;
  }
}

new Bench().start();
