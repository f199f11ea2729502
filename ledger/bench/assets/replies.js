// Received replies: which there are, one of them whole, and what is decided on it. What a reader wrote is only text, but for
// their words as the site will show them, which the site's own sanitiser has made.

import { get, send } from "./asking.js";
import { choice, element, field, input } from "./elements.js";
import { list as faultList } from "./faults.js";

const byId = id => document.getElementById(id);
const PURPOSES = [
  { value: "reply", label: "the reply alone" },
  { value: "evidence", label: "with an evidence note to judge" },
  { value: "hypothesis", label: "with a draft of a hypothesis" },
  { value: "correction", label: "with a draft of a correction" },
];
const STANCES = { agree: "agrees", doubt: "doubts", "new-evidence": "brings new evidence", "another-hypothesis": "brings another hypothesis", correction: "corrects" };
const OPEN = ["new", "asked"];
let current = null;

async function refresh() {
  const answer = await get("received");
  if (answer.wrong) {
    byId("list").replaceChildren(element("li", {}, faultList(answer.wrong)));
    return;
  }
  const { replies, waiting } = answer;
  byId("waiting").textContent = `${replies.length} received, ${waiting} to decide on.`;
  byId("list").replaceChildren(...replies.map(row), ...(replies.length ? [] : [element("li", { class: "hint" }, "None yet: `witness replies fetch` or `read` takes them in.")]));
}

function row(one) {
  const about = one.about === null ? "its words were forgotten" : `${STANCES[one.stance]}, on ${one.about}`;
  const repeats = one.repeats ? `; says the same as ${one.repeats.slice(0, 8)}` : "";
  return element("li", {}, element("button", { type: "button", "data-id": one.id, "aria-current": String(one.id === current), onclick: () => show(one.id) },
    element("strong", {}, one.name ?? "no name"), ` ${about}`,
    element("small", {}, `${one.day}, ${one.state}${repeats}`), element("small", {}, one.start ?? "")));
}

async function show(id, told = "") {
  current = id;
  const one = await get("reply", { id });
  if (current !== id) return;
  for (const button of byId("list").querySelectorAll("button")) button.setAttribute("aria-current", String(button.dataset.id === id));
  const place = byId("one");
  place.replaceChildren(...(one.wrong ? [faultList(one.wrong)] : whole(one, told)));
  place.focus();
}

function whole(one, told) {
  const said = one.document;
  const status = element("p", { class: "posted", role: "status" }, told);
  if (said === null) return [element("h2", {}, "A forgotten reply"), status, facts([["id", one.id], ["state", one.state]])];
  const title = ref => (one.titles[ref] ? `${one.titles[ref]} (${ref})` : ref);
  const pairs = [
    ["about", title(said.about)], ["stance", STANCES[said.stance]], ["name", said.name ?? "none"],
    ["credit", said.credit === "named" ? "by name" : "as a reader"], ["consent", said.consent ? "may be published" : "may not be published"],
    ["contact", said.contact ? `${said.contact} (never published)` : "none"], ["received", one.day], ["sent", said.sent],
    ["edition", said.edition ? `${said.edition.number} (${said.edition.fingerprint.slice(0, 12)})` : "not said"],
    ...Object.entries(said.confidences).map(([rival, share]) => ["confidence", `${title(rival)}: ${Math.round(share * 1000) / 10} %`]),
    ...Object.entries(said.inputs).flatMap(([ref, inputs]) => Object.entries(inputs).map(([name, value]) => ["input", `${title(ref)}, ${name}: ${value}`])),
    ["state", one.state + (one.decided ? `, ${one.decided.slice(0, 10)}` : "")], ...(one.reason ? [["reason", one.reason]] : []),
    ...one.entries.map(path => ["accepted as", path]), ["id", one.id],
  ];
  const forms = one.state === "accepted" ? [] : [element("div", { class: "deciding" }, accepting(one), deciding(one, "declined", "Decline", "Why"), ...(OPEN.includes(one.state) ? [deciding(one, "asked", "Ask back", "What you ask")] : []))];
  return [element("h2", {}, "The reply"), status, asPublished(one.html), asSent(said.text), facts(pairs), ...forms];
}

// Where a link leads stands beside its words: a name that looks like another is seen through there.
function asPublished(html) {
  const shown = element("div", { class: "published", "aria-label": "As the site will show it", role: "group" });
  shown.innerHTML = html;
  for (const link of shown.querySelectorAll("a[href]")) {
    const to = link.getAttribute("href");
    if (/^(https?|mailto):/i.test(to)) {
      link.target = "_blank";
      link.rel = "noopener noreferrer";
      link.after(element("span", { class: "leads" }, ` (${link.href})`));
    } else {
      link.removeAttribute("href");
      link.after(element("span", { class: "leads" }, ` (${to.replace(/\.html$/, "")} on the site)`));
    }
  }
  return shown;
}

function asSent(text) {
  return element("details", {}, element("summary", {}, "As it was sent"), element("pre", {}, text));
}

function facts(pairs) {
  return element("dl", { class: "said" }, pairs.map(([name, value]) => element("div", {}, element("dt", {}, name), element("dd", {}, value))));
}

function form(legend, press, fields, ask) {
  const wrong = element("div", { role: "alert" });
  const button = element("button", { class: "main" }, press);
  return element("form", { novalidate: true, onsubmit: async event => {
    event.preventDefault();
    button.disabled = true;
    const answer = await ask();
    button.disabled = false;
    wrong.replaceChildren(...(answer.wrong ? [faultList(answer.wrong)] : []));
  } }, element("fieldset", {}, element("legend", {}, legend), fields, wrong, button));
}

async function done(id, answer, told) {
  if (answer.wrong) return answer;
  await refresh();
  await show(id, told(answer));
  return answer;
}

function accepting(one) {
  const purpose = choice(PURPOSES, { value: one.purpose });
  const about = input({ placeholder: one.document.about });
  const title = input({ placeholder: "its first words" });
  const source = input({ placeholder: "a new one, or the reader’s own" });
  return form("Accept", "Accept", [
    field("As", purpose), field("About", about), field("Title", title), field("Source, of which the reader is", source, { hint: "`sources/name`, or `new`" }),
  ], async () => done(one.id, await send("accept", { id: one.id, purpose: purpose.value, about: about.value, title: title.value, source: source.value }),
    answer => [`Accepted; written: ${answer.written.join(", ") || "nothing new"}.`, ...answer.notes, "Nothing is posted yet: edit what was written, then `witness post`."].join(" ")));
}

function deciding(one, state, press, label) {
  const reason = element("textarea", { rows: 3 });
  return form(press, press, [field(label, reason, { hint: "Kept with what was received." })],
    async () => done(one.id, await send("decide", { id: one.id, state, reason: reason.value }), answer => answer.told));
}

async function pools() {
  const answer = await get("pools");
  const percent = value => (value === null ? "–" : `${Math.round(value * 1000) / 10} %`);
  const shown = answer.wrong ? [faultList(answer.wrong)] : answer.pools.map(({ question, people, rows }) => element("table", {},
    element("caption", {}, `${question} – ${people} ${people === 1 ? "reader" : "readers"}`),
    element("thead", {}, element("tr", {}, ["Rival", "The ledger", "Readers, linear", "Readers, logarithmic"].map(head => element("th", { scope: "col" }, head)))),
    element("tbody", {}, rows.map(line => element("tr", {}, element("th", { scope: "row" }, line.rival), [line.ledger, line.linear, line.logarithmic].map(value => element("td", {}, percent(value))))))));
  byId("pools").replaceChildren(...(shown.length ? shown : [element("p", { class: "hint" }, "No reader has stated confidences yet.")]));
}

await refresh();
document.body.dataset.ready = "true";
await pools();
