// Telling what is wrong: at the field it is about where there is one, and in a list otherwise.

import { element } from "./elements.js";

export function words(fault) {
  if (fault.missing && fault.given.startsWith("no ")) return fault.field.startsWith("points") ? fault.remedy : "Still wanted.";
  if (fault.given === "an empty text") return `Still wanted: ${fault.expected}.`;
  if (!fault.given && !fault.expected) return fault.remedy;
  return `Given ${fault.given}; expected ${fault.expected}. ${fault.remedy}`;
}

// Shows faults in the fields of `root`; returns those that have no field there. `prefix` is taken off their paths, and
// `place` says under which path the form has them.
export function atFields(root, faults, prefix = "", place = path => path) {
  clear(root);
  const left = [];
  const told = new Map();
  for (const fault of faults) {
    const path = place(fault.field.startsWith(prefix) ? fault.field.slice(prefix.length) : fault.field);
    const found = find(root, path);
    if (found) told.set(found, [...(told.get(found) ?? []), fault]);
    else left.push(fault);
  }
  for (const [at, faultsThere] of told) {
    at.replaceChildren(...faultsThere.map(fault => element("span", {}, words(fault))));
    at.classList.toggle("soft", faultsThere.every(fault => fault.missing));
    at.hidden = false;
    const control = root.querySelector(`[data-at="${CSS.escape(at.dataset.wrong)}"]`);
    if (faultsThere.some(fault => !fault.missing)) control?.setAttribute("aria-invalid", "true");
  }
  return left;
}

export function clear(root) {
  for (const place of root.querySelectorAll("[data-wrong]")) {
    place.hidden = true;
    place.replaceChildren();
  }
  for (const control of root.querySelectorAll("[aria-invalid]")) control.removeAttribute("aria-invalid");
}

// The field of a path, or of what it is a part of: `points.bar.2` is told at `points.bar`.
function find(root, path) {
  let at = path;
  while (at) {
    const place = root.querySelector(`[data-wrong="${CSS.escape(at)}"]`);
    if (place && !place.closest("[hidden]:not([data-wrong])")) return place;
    at = at.includes(".") ? at.slice(0, at.lastIndexOf(".")) : "";
  }
  return null;
}

// What the field of a path is called, or null where there is none.
export function labelOf(root, path) {
  const place = find(root, path);
  return (place?.closest(".field")?.querySelector("label") ?? place?.closest(".track-row")?.querySelector(".name"))?.textContent ?? null;
}

// `called` gives the words for a path, where there are any.
export function list(faults, called = () => null) {
  return element("ul", { class: "faults" }, faults.map(fault => {
    const name = fault.field && called(fault.field);
    const where = name ?? [fault.file, fault.field.replace(/^fresh\./, "")].filter(Boolean).join(", ");
    return element("li", { class: fault.missing ? "soft" : null }, where ? element("strong", {}, `${where}: `) : null, words(fault));
  }));
}
