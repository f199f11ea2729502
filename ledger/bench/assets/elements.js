// Elements made in one call. Text is always text: nothing that was sent is ever read as HTML.

export function element(tag, given = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(given)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (name === "value") made.value = value;
    else made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...children.flat().filter(child => child !== null && child !== undefined && child !== false));
  return made;
}

const SVG = "http://www.w3.org/2000/svg";

export function drawn(tag, given = {}, ...children) {
  const made = document.createElementNS(SVG, tag);
  set(made, given);
  made.append(...children);
  return made;
}

export function set(node, given) {
  for (const [name, value] of Object.entries(given)) {
    if (node.getAttribute(name) !== String(value)) node.setAttribute(name, value);
  }
}

let numbered = 0;

// A label with its field below it, a hint, and a place for what is wrong with it.
export function field(label, control, { hint = "", at = "" } = {}) {
  numbered += 1;
  const id = `field-${numbered}`;
  control.id = id;
  const described = [];
  const parts = [element("label", { for: id }, label)];
  if (hint) {
    parts.push(element("p", { class: "hint", id: `${id}-hint` }, worded(hint)));
    described.push(`${id}-hint`);
  }
  parts.push(control);
  if (at) {
    control.dataset.at = at;
    parts.push(element("p", { class: "wrong", id: `${id}-wrong`, "data-wrong": at, hidden: true }));
    described.push(`${id}-wrong`);
  }
  if (described.length) control.setAttribute("aria-describedby", described.join(" "));
  return element("div", { class: "field" }, parts);
}

// Words in which `this` stands for something as it is written.
export function worded(text) {
  return text.split("`").map((part, place) => (place % 2 ? element("code", {}, part) : part));
}

export function choice(options, { value = "", ...given } = {}) {
  const made = element("select", given, options.map(one => Array.isArray(one.of)
    ? element("optgroup", { label: one.label, "data-medium": one.medium }, one.of.map(inner => option(inner)))
    : option(one)));
  made.value = value;
  return made;
}

function option({ value, label }) {
  return element("option", { value }, label);
}

export function input(given = {}) {
  return element("input", { type: "text", autocomplete: "off", spellcheck: "false", ...given });
}

export function number(value) {
  return String(Math.round(value * 10) / 10);
}
