// An evidence note: what is marked, and how probable it would be under each rival of a question.

import { choice, element, field, input } from "./elements.js";

export class NoteForm {
  #rows = new Map();

  constructor(bench) {
    this.bench = bench;
    this.bearings = element("div", { class: "bearings" });
    this.question = choice([], { onchange: () => { this.#ask(this.question.value); this.question.value = ""; } });
    this.marks = element("div");
    this.ladder = element("datalist", { id: "ladder" });
    this.root = element("div", { class: "note-form" },
      element("h2", {}, "Note"),
      element("h3", {}, "What is marked"), this.marks,
      element("h3", {}, "Bearing"),
      element("p", { class: "hint" }, "How probable this would be seen if the answer were true: 0.3, 0.2..0.6, or a word such as very likely."),
      field("A question it bears on", this.question), this.bearings, this.ladder);
  }

  // Show the note: the marks that were kept, or those of an entry that was opened again, and then its bearings.
  show(front = null) {
    const { bench } = this;
    const { questions, ladder } = bench.listing;
    this.question.replaceChildren(...choice([{ value: "", label: "none, or choose one" }, ...questions.map(one => ({ value: one.ref, label: one.title }))]).children);
    this.question.value = "";
    this.ladder.replaceChildren(...ladder.map(word => element("option", { value: word })));
    this.marks.replaceChildren(bench.free.root);
    bench.marks.take(bench.free.tracks(front ? front.marks ?? [] : bench.keptOwn(), bench.stage.about?.medium));
    if (!front) return;
    this.empty();
    for (const [rival, given] of Object.entries(front.bearing ?? {})) this.#row(rival, given);
  }

  // Another note begins.
  empty() {
    this.#rows.clear();
    this.bearings.replaceChildren();
  }

  #ask(ref) {
    const question = this.bench.listing.questions.find(one => one.ref === ref);
    if (!question) return;
    for (const rival of question.rivals) this.#row(rival.name, "", rival.title);
    this.#row("others", "");
    this.#rows.get(question.rivals[0]?.name ?? "others").control.focus();
  }

  #row(rival, given, title = "") {
    const name = rival.replace(/^hypotheses\//, "");
    if (this.#rows.has(name)) return;
    const others = "All others, where they are not judged one by one";
    const words = name === "others" ? others : title || this.bench.listing.questions.flatMap(one => one.rivals).find(one => one.name === name)?.title || name;
    const absent = given !== null && typeof given === "object";
    const control = input({ list: "ladder", value: absent ? `not seen: would show ${given["would-show"]}` : String(given), disabled: absent });
    this.#rows.set(name, { control, kept: absent ? given : null });
    this.bearings.append(field(words, control, { at: `bearing.${name}` }));
  }

  get bearing() {
    return Object.fromEntries([...this.#rows].map(([name, { control, kept }]) => [name, kept ?? control.value.trim()]));
  }
}
