// Saving: what the entry is called, the file as it will read, and what the posting said.

import { send } from "./asking.js";
import { choice, element, field, input } from "./elements.js";
import { atFields, clear, labelOf, list } from "./faults.js";

const NEW = " new";

export class Saving {
  constructor(bench) {
    this.bench = bench;
    this.opened = null;
    this.named = false;
    this.title = input({ spellcheck: "true", oninput: () => this.#name() });
    this.name = input({ oninput: () => { this.named = true; } });
    this.source = choice([], { onchange: () => this.#fresh() });
    this.credibility = choice([]);
    this.method = input({ spellcheck: "true" });
    this.body = element("textarea", { rows: 4, spellcheck: "true" });
    this.fresh = element("div", { class: "fresh", hidden: true });
    this.methodField = field("How it was measured, in words", this.method, { at: "method" });
    this.outcome = element("div", { class: "outcome", role: "status" });
    this.file = element("div", { class: "files" });
    this.heading = element("h2", {}, "Save");
    this.root = element("section", { class: "save", "aria-label": "Save" }, this.heading,
      field("Title", this.title, { at: "title" }),
      field("Name of its file", this.name, { hint: "Small letters, digits and hyphens", at: "name" }),
      field("Source", this.source, { at: "source" }), this.fresh,
      field("Credibility", this.credibility, { hint: "How far this one observation can be believed, apart from its source", at: "credibility" }),
      this.methodField,
      field("More words, if any", this.body, { at: "text" }),
      element("div", { class: "buttons" },
        element("button", { type: "button", onclick: () => this.#send("draft") }, "Show the file"),
        element("button", { type: "button", class: "main", onclick: () => this.#send("save") }, "Write and post")),
      this.outcome, this.file);
  }

  // Take over what there is to choose from.
  fill() {
    const { listing } = this.bench;
    const [kept, credibility] = [this.source.value, this.credibility.value || "3"];
    const sources = listing.sources.map(one => ({ value: one.name, label: one.title }));
    this.source.replaceChildren(...choice([...sources, { value: NEW, label: "A new source …" }]).children);
    this.credibility.replaceChildren(...choice(Object.entries(listing.credibility).map(([value, word]) => ({ value, label: `${value} – ${word}` }))).children);
    this.credibility.value = credibility;
    if (!this.fields) this.#freshFields();
    this.source.value = kept || NEW;
    this.#fresh();
  }

  // The photograph was chosen: its source is known, or has to be made.
  chosen(source) {
    this.#tell();
    this.source.value = source ?? this.bench.listing.sources.find(one => one.file === this.bench.file)?.name ?? NEW;
    this.#fresh();
    this.fields.file.value = this.bench.file ?? "";
    if (!this.freshNamed) this.fields.name.value = slug(this.bench.file?.split("/").at(-1).replace(/\.[^.]*$/, "") ?? "");
    if (!this.freshTitled) this.fields.title.value = titled(this.bench.file ?? "");
    // A date that another picture told is not this one's.
    const { date } = this.fields;
    if (!date.value || date.value === date.dataset.told) date.value = date.dataset.told = this.bench.stage.about?.taken?.slice(0, 10) ?? "";
    this.fields.medium.value = this.bench.stage.listening ? "recording" : "photograph";
  }

  start(kind) {
    this.opened = null;
    this.methodField.hidden = kind !== "measurement";
    this.heading.textContent = kind === "measurement" ? "Save as a measurement" : "Save as an evidence note";
    this.#tell();
  }

  // An entry was opened again.
  open({ ref, kind, front, body, was }) {
    this.start(kind);
    this.opened = { ref, was };
    this.named = true;
    this.title.value = front.title;
    this.name.value = ref.split("/")[1];
    this.name.readOnly = true;
    this.source.value = String(front.source).replace(/^sources\//, "");
    this.credibility.value = String(front.credibility);
    this.method.value = front.method ?? "";
    this.body.value = body;
    this.heading.textContent = `Revise ${ref}`;
    this.#fresh();
  }

  // What was written and posted is revised from now on.
  revise({ ref, was }) {
    this.opened = { ref, was };
    this.named = true;
    this.name.readOnly = true;
    this.heading.textContent = `Revise ${ref}`;
    if (this.source.value !== NEW) return;
    const { name, title } = this.fields;
    this.source.prepend(element("option", { value: name.value.trim() }, title.value.trim()));
    this.source.value = name.value.trim();
    this.freshNamed = this.freshTitled = false;
    this.#fresh();
  }

  // What was written or chosen by hand.
  get typed() {
    const method = this.method.value === this.method.dataset.suggested ? "" : this.method.value;
    return [this.title, this.credibility, this.body].map(one => one.value).concat(method, this.named ? this.name.value : "");
  }

  // A new entry beside the one that was opened or saved.
  close() {
    this.opened = null;
    this.named = false;
    this.name.readOnly = false;
    this.title.value = this.name.value = this.body.value = this.method.value = "";
    this.start(this.bench.kind);
  }

  suggest(words) {
    if (!this.method.value || this.method.dataset.suggested === this.method.value) this.method.value = this.method.dataset.suggested = words;
  }

  #name() {
    if (!this.named) this.name.value = slug(this.title.value);
  }

  #freshFields() {
    const { reliability } = this.bench.listing;
    this.freshNamed = this.freshTitled = false;
    this.fields = {
      title: input({ spellcheck: "true", oninput: () => { this.freshTitled = true; } }),
      name: input({ oninput: () => { this.freshNamed = true; } }),
      medium: choice(["photograph", "recording"].map(value => ({ value, label: value })), { value: "photograph" }),
      author: input(),
      date: input({ placeholder: "2031-05-17, 2031-05 or 2031" }),
      rights: input({ placeholder: "own work" }),
      reliability: choice(Object.entries(reliability).map(([value, word]) => ({ value, label: `${value} – ${word}` })), { value: "C" }),
      file: input({ readonly: true }),
    };
    const labels = { title: "Title of the source", name: "Name of the source’s file", medium: "Medium", author: "Who made it", date: "When", rights: "Rights", reliability: "Reliability of the source", file: "File" };
    this.fresh.replaceChildren(element("p", { class: "hint" }, "The source is written and posted together with the entry."),
      ...Object.entries(labels).map(([name, label]) => field(label, this.fields[name], { at: `fresh.${name}` })));
  }

  #fresh() {
    this.fresh.hidden = this.source.value !== NEW;
  }

  #draft() {
    const { bench } = this;
    const fresh = this.source.value === NEW;
    const given = Object.fromEntries(Object.entries(this.fields).map(([name, one]) => [name, one.value.trim()]));
    return {
      kind: bench.kind, name: this.name.value.trim(), title: this.title.value.trim(), credibility: this.credibility.value,
      source: fresh ? "" : this.source.value, fresh: fresh ? given : null, method: this.method.value.trim(),
      body: this.body.value && !this.body.value.endsWith("\n") ? `${this.body.value}\n` : this.body.value,
      picked: bench.kind === "measurement" && bench.method ? bench.form.picks(10_000) : null,
      marks: bench.free.value,
      bearing: bench.kind === "evidence" ? bench.note.bearing : {},
      was: this.opened?.was ?? null,
    };
  }

  async #send(path) {
    if (this.sending) return;
    this.#busy(true);
    const { turn } = this.bench;
    const { unfinished } = this.bench.free;
    const answer = await send(unfinished.length ? "draft" : path, this.#draft());
    if (unfinished.length) answer.wrong = [...unfinished, ...answer.wrong ?? []];
    this.#busy(false);
    this.#tell();
    if (answer.wrong) {
      if (this.bench.kind === "measurement") answer.wrong = answer.wrong.map(fault => this.bench.form.told(fault));
      const left = this.#faults(answer.wrong);
      const count = answer.wrong.length;
      this.outcome.replaceChildren(element("p", { class: "refused" }, `${count} ${count > 1 ? "faults" : "fault"}; nothing was written.`),
        list(answer.wrong.filter(fault => left.includes(fault) || count > 1), path => this.#label(path)));
      document.querySelector("#panel [aria-invalid]")?.focus();
      return;
    }
    this.file.replaceChildren(...answer.files.flatMap(one => [element("h3", {}, `entries/${one.ref}.md`), element("pre", { tabindex: 0 }, element("code", {}, one.text))]));
    if (path === "save") await this.#saved(answer, turn);
  }

  // The buttons keep the focus while they wait.
  #busy(busy) {
    this.sending = busy;
    for (const button of this.root.querySelectorAll(".buttons button")) button.setAttribute("aria-disabled", String(busy));
  }

  get #form() {
    const { bench } = this;
    return bench.kind === "measurement" ? bench.form.root : bench.note.root;
  }

  #faults(wrong) {
    const left = atFields(this.root, wrong);
    return atFields(this.#form, left, "picked.", path => this.bench.free.place(path));
  }

  // What the page calls the field of a path.
  #label(path) {
    return labelOf(this.root, path) ?? labelOf(this.#form, this.bench.free.place(path.replace(/^picked\./, "")));
  }

  async #saved({ files, report }, turn) {
    const own = new Set(files.map(one => one.ref));
    const posted = ["new", "revised", "restored"].flatMap(what => report[what].map(ref => ({ ref, what: what === "new" ? "posted as new" : what })));
    // What was written here comes first, before what was posted along with it.
    const said = [...posted.filter(one => own.has(one.ref)), ...posted.filter(one => !own.has(one.ref))].map(({ ref, what }) => `${ref}: ${what}`);
    this.outcome.replaceChildren(element("p", { class: "posted" }, "Posted."),
      element("ul", {}, (said.length ? said : ["Nothing had changed."]).map(one => element("li", {}, one))),
      report.warnings.length ? list(report.warnings) : "");
    await this.bench.saved(files.at(-1), turn);
  }

  #tell() {
    clear(this.root);
    this.outcome.replaceChildren();
    this.file.replaceChildren();
  }
}

// A file's name as words to begin with.
function titled(file) {
  const words = file.split("/").at(-1).replace(/\.[^.]*$/, "").replace(/[-_]+/g, " ").trim();
  return words.charAt(0).toUpperCase() + words.slice(1);
}

export function slug(text) {
  return text.normalize("NFKD").toLowerCase().replace(/[\u0300-\u036f]/g, "").replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "").slice(0, 60).replace(/-+$/, "");
}
