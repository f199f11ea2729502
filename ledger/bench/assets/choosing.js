// Choosing: the photograph or recording, an entry to open again, and what is to come of it.

import { choice, element, field } from "./elements.js";
import { list } from "./faults.js";

export class Choosing {
  constructor(bench) {
    this.bench = bench;
    this.file = choice([], { onchange: () => bench.choose(this.#chosen()) });
    this.entry = choice([], { onchange: () => bench.open(this.entry.value) });
    this.method = choice([], { onchange: () => bench.use(this.method.value) });
    this.methodField = field("Way of measuring", this.method, { at: "by" });
    this.kinds = element("fieldset", { class: "kinds" }, element("legend", {}, "What comes of it"),
      [["measurement", "A measurement"], ["evidence", "An evidence note"]].map(([value, label]) => element("label", {},
        element("input", { type: "radio", name: "kind", value, checked: value === "measurement", onchange: () => bench.make(value) }), ` ${label}`)));
    this.wrong = element("div", { class: "choose-wrong", role: "alert" });
    this.fresh = element("button", { type: "button", class: "small", hidden: true, onclick: () => bench.anew() }, "Begin a new entry");
    this.elsewhere = element("div", { class: "elsewhere", hidden: true });
    bench.root.append(
      field("Photograph or recording", this.file, { hint: "Files lie in the investigation’s folder." }),
      element("p", { class: "again" }, element("button", { type: "button", class: "small", onclick: () => bench.refresh() }, "Look for new files"), this.fresh),
      this.elsewhere, field("Open an entry again", this.entry), this.kinds, this.methodField, this.wrong);
  }

  fill(listing) {
    const [file, entry, method] = [this.file.value, this.entry.value, this.method.value];
    const sources = listing.sources.filter(one => one.file && one.here);
    const taken = new Set(sources.map(one => one.file));
    const empty = listing.files.length || sources.length ? "Choose one" : "There is none yet: put one into the folder";
    this.#options(this.file, [{ value: "", label: empty },
      { label: "Sources", of: sources.map(one => ({ value: `source ${one.name}`, label: `${one.title} (${one.file})` })) },
      { label: "Files without a source", of: listing.files.filter(one => !taken.has(one)).map(one => ({ value: `file ${one}`, label: one })) }]);
    this.#options(this.entry, [{ value: "", label: "A new one" },
      ...[["measurement", "Measurements"], ["evidence", "Evidence notes"]].map(([kind, label]) => ({
        label, of: listing.entries.filter(one => one.kind === kind).map(one => ({ value: one.ref, label: one.title })) }))]);
    this.#options(this.method, ["photograph", "recording"].map(medium => ({
      label: medium === "photograph" ? "From a photograph" : "From a recording", medium,
      of: listing.methods.filter(one => one.medium === medium).map(one => ({ value: one.name, label: one.title })) })));
    [this.file.value, this.entry.value] = [file, entry];
    this.method.value = method || listing.methods[0].name;
  }

  #options(select, options) {
    select.replaceChildren(...choice(options.filter(one => !one.of || one.of.length)).children);
  }

  #chosen() {
    const [kind, ...rest] = this.file.value.split(" ");
    const name = rest.join(" ");
    if (!name) return null;
    return kind === "source" ? { source: name, file: this.bench.listing.sources.find(one => one.name === name).file } : { source: null, file: name };
  }

  // Show what stands on the bench, however it came there.
  tell({ file, kind, method, entry, elsewhere, stage }) {
    const source = this.bench.listing.sources.find(one => one.file === file && one.here);
    this.file.value = source ? `source ${source.name}` : file ? `file ${file}` : "";
    for (const group of this.method.querySelectorAll("optgroup")) group.disabled = Boolean(stage.about) && group.dataset.medium !== stage.about.medium;
    this.#away(elsewhere.filter(one => one.file !== file));
    for (const radio of this.kinds.querySelectorAll("input")) radio.checked = radio.value === kind;
    if (method) this.method.value = method.name;
    this.methodField.hidden = kind !== "measurement";
    this.entry.value = entry ?? "";
    this.fresh.hidden = !entry;
    for (const radio of this.kinds.querySelectorAll("input")) radio.disabled = Boolean(entry);
  }

  // Marks that are not saved and lie on other photographs.
  #away(elsewhere) {
    this.elsewhere.hidden = !elsewhere.length;
    this.elsewhere.replaceChildren(element("p", { class: "hint" }, "Not saved yet, and kept:"), ...elsewhere.map(({ file, count }) => element("button", {
      type: "button", class: "small", onclick: () => this.bench.choose({ file, source: this.bench.listing.sources.find(one => one.file === file)?.name ?? null }),
    }, `${count} ${count > 1 ? "marks" : "mark"} on ${file.split("/").at(-1)}`)));
  }

  complain(wrong) {
    this.wrong.replaceChildren(wrong.length ? list(wrong) : "");
  }
}
