// The form of a way of measuring, made from its declaration: what is marked, what is known, the lens.

import { choice, element, field, input } from "./elements.js";
import { LensForm } from "./lensform.js";
import { ends } from "./marks.js";
import { TrackList } from "./tracks.js";

export class MethodForm {
  #knowns = new Map();
  // What was stated in any way of measuring, for when it is asked for again.
  #said = {};

  constructor(bench) {
    this.bench = bench;
    this.root = element("div", { class: "method-form" });
    this.list = new TrackList(bench.marks);
    this.lens = new LensForm(event => this.#heard(event));
    const heard = event => this.#heard(event);
    this.doubt = input({ value: "1", inputmode: "decimal", oninput: heard, onchange: heard });
    this.instead = {};
    bench.marks.on(what => {
      if (what === "past") this.#restore(bench.marks.stated);
      if (what === "points" || what === "tracks") this.#eachPoint();
    });
  }

  // Something was typed or chosen.
  #heard(event) {
    const { marks, stage } = this.bench;
    stage.hush();
    marks.state(this.#state(), event.target);
    if (event.type === "change") marks.typed();
  }

  // All that is stated, as the past keeps it: what is known by name, the doubt and the lens.
  #state() {
    const known = [...this.#knowns].map(([name, { control, cells, stated }]) => {
      if (!cells) return [name, control.value];
      const shown = [...cells.children].map(one => one.value);
      return [name, [...shown, ...stated.slice(shown.length)]];
    });
    return { known: Object.fromEntries(known), doubt: this.doubt.value, lens: this.lens.value };
  }

  // Bring back what was stated, and say what is no more as it was.
  #restore(past) {
    if (!past || this.bench.kind !== "measurement") return;
    const now = this.#state();
    const differs = (one, other) => JSON.stringify(one) !== JSON.stringify(other);
    const changed = [];
    for (const [name, { known, control, cells, stated }] of this.#knowns) {
      if (!(name in past.known) || !differs(now.known[name], past.known[name])) continue;
      changed.push(known.label);
      if (cells) {
        stated.splice(0, stated.length, ...past.known[name]);
        [...cells.children].forEach((one, place) => { one.value = stated[place] ?? ""; });
      } else control.value = past.known[name];
    }
    if (differs(now.doubt, past.doubt)) changed.push("Doubt of a pick");
    if (differs(now.lens, past.lens)) changed.push("Lens");
    this.doubt.value = past.doubt;
    if (changed.includes("Lens")) this.lens.value = past.lens;
    this.bench.stage.say(changed.length ? `Changed back: ${changed.join(", ")}.` : "");
  }

  get method() {
    return this.bench.method;
  }

  // Show the form of a method, with the marks that were kept or with those of an entry that was opened again: its picks,
  // and `own`, its other marks.
  show(method, picked = null, own = null) {
    this.remember();
    const stated = picked ? picked.known ?? {} : this.#said;
    if (picked) this.#said = {};
    this.bench.method = method;
    this.instead = {};
    for (const role of method.roles) {
      if (!role.instead) continue;
      if (!this.instead[role.instead] || picked?.points[role.name]?.length) this.instead[role.instead] = role.name;
    }
    this.doubt.value = picked ? String(picked.doubt ?? 1) : this.doubt.value;
    if (picked) this.lens.value = picked.lens ?? null;
    this.#knowns.clear();
    this.root.replaceChildren(
      element("h2", {}, "Measure"),
      element("p", { class: "purpose" }, method.purpose),
      element("h3", {}, method.medium === "recording" ? "What is heard" : "What is marked"),
      ...this.#alternatives(),
      this.list.root,
      element("h3", {}, "What is known"),
      element("div", { class: "knowns", oninput: event => this.#heard(event), onchange: event => this.#heard(event) }, method.knowns.map(known => this.#known(known, stated[known.name]))),
      ...(method.medium === "photograph" ? [field("Doubt of a pick, in pixels", this.doubt, {
        hint: "Standard uncertainty; 1 for a sharp edge", at: "doubt" })] : []),
      ...(method.lens ? [this.lens.root] : []),
      element("details", { class: "more" }, element("summary", {}, "What it takes for granted"),
        element("ul", {}, [...method.assumptions, ...method.cautions].map(one => element("li", {}, one)))),
      this.#own(),
    );
    this.#take(picked?.points ?? null, own);
  }

  // Marks of the measurement's own, beside the picks.
  #own() {
    this.own = element("details", { class: "more own" }, element("summary", {}, "Other marks, which are not measured"), this.bench.free.root);
    return this.own;
  }

  #alternatives() {
    return Object.keys(this.instead).map(group => {
      const roles = this.method.roles.filter(role => role.instead === group);
      const which = choice(roles.map(role => ({ value: role.name, label: role.label })), {
        value: this.instead[group],
        onchange: event => {
          this.bench.keep();
          this.instead[group] = event.target.value;
          this.#take();
        },
      });
      return field("What is known of the plane", which);
    });
  }

  #roles() {
    return this.method.roles.filter(role => !role.instead || this.instead[role.instead] === role.name);
  }

  // Keep what is stated for when it is asked for again.
  remember() {
    for (const [name, given] of Object.entries(this.#stated())) this.#said[name] = given;
  }

  // Take the marks that were kept, or those of an entry.
  #take(points = null, own = null) {
    const { bench } = this;
    const tracks = this.#roles().map(role => {
      const shape = shapeOf(role);
      const two = shape === "span" ? 2 : 1;
      const most = role.most * two;
      const at = points ? pointsOf(shape, points[role.name] ?? []) : bench.kept(role.name, shape).slice(0, most);
      return { key: role.name, label: role.name.replaceAll("-", " "), shape, free: false, least: role.least * two, most, points: at };
    });
    const free = bench.free.tracks(own ?? bench.keptOwn(), bench.stage.about?.medium);
    bench.marks.take([...tracks, ...free], this.#state());
    this.list.show(this.#roles().map(role => ({ key: role.name, label: role.name.replaceAll("-", " "), hint: `${role.label}.${role.hint ? ` ${role.hint}.` : ""}`, form: role.form })));
    this.own.open = bench.free.all.length > 0;
    this.#eachPoint();
  }

  #known(known, stated) {
    const at = `known.${known.name}`;
    const hints = [known.hint, known.default !== null && known.unit !== null ? `${known.default} if left empty` : known.otherwise && `If left empty: ${known.otherwise}`];
    const told = { hint: hints.filter(Boolean).join(". "), at };
    if (known.each) {
      const cells = element("div", { class: "cells" });
      this.#knowns.set(known.name, { known, cells, stated: Array.isArray(stated) ? stated.map(String) : [] });
      const box = field(`${known.label}${known.unit ? `, ${known.unit}` : ""}`, cells, told);
      cells.setAttribute("role", "group");
      cells.setAttribute("aria-label", known.label);
      return this.#held(known, box);
    }
    let control;
    if (known.unit === null) {
      control = choice(known.words.map(word => ({ value: word, label: word.replaceAll("-", " ") })), { value: stated ?? known.default ?? known.words[0] });
    } else {
      control = input({ value: stated === undefined ? "" : String(stated), placeholder: known.default ?? (known.unit === "mm" && !known.otherwise ? "24 ± 0.2 mm" : "") });
    }
    this.#knowns.set(known.name, { known, control });
    const box = field(known.label, control, told);
    if (known.name === "focal") box.append(this.#fromPicture(control));
    return this.#held(known, box);
  }

  #held(known, box) {
    this.#knowns.get(known.name).box = box;
    return box;
  }

  // What the picture's own metadata say of the focal length can be taken over.
  #fromPicture(control) {
    const focal = this.bench.stage.about?.focal;
    if (!focal) return element("span");
    const text = `${focal} ± ${(0.05 * focal).toFixed(1)} mm`;
    return element("button", {
      type: "button", class: "small", onclick: () => {
        control.value = text;
        this.bench.marks.state(this.#state(), control);
        this.bench.marks.typed();
      },
    }, `The picture says ${focal} mm: take ${text}`);
  }

  // Knowns that belong to a role are shown where it is marked; one that is for each point has a field for each.
  #eachPoint() {
    for (const { known, cells, stated, box } of this.#knowns.values()) {
      const track = known.of ? this.bench.marks.track(known.of) : null;
      if (known.of) box.hidden = !track || (!track.points.length && track.least === 0);
      if (!cells || !track) continue;
      const wanted = Math.max(track.points.length - (known.each === "gap" ? 1 : 0), 0);
      while (cells.children.length > wanted) {
        stated[cells.children.length - 1] = cells.lastChild.value;
        cells.lastChild.remove();
      }
      while (cells.children.length < wanted) {
        const number = cells.children.length + 1;
        const told = known.each === "gap" ? `${number} to ${number + 1}` : String(number);
        cells.append(input({ "aria-label": `${known.label}, ${told}`, placeholder: told, value: stated[number - 1] ?? "" }));
      }
    }
  }

  #stated() {
    return Object.fromEntries([...this.#knowns].map(([name, { control, cells }]) =>
      [name, cells ? [...cells.children].map(one => one.value.trim()) : control.value.trim()]));
  }

  get typed() {
    return [typed(this.#stated(), this.#knowns), this.method?.lens ? this.lens.value : null, this.doubt.value.trim()];
  }

  // A fault as the form tells it: of what is not there at its own row or field, of a span by the ends it lacks.
  told(fault) {
    const [, before = "", group] = /^(picked\.)?(points|known)$/.exec(fault.field) ?? [];
    const name = /^no `([a-z-]+)`$/.exec(fault.given)?.[1];
    if (!group || !name) return fault;
    const track = group === "points" ? this.bench.marks.track(name) : null;
    const remedy = track?.shape !== "span" ? fault.remedy : track.points.length ? "Mark its other end." : "Mark its two ends.";
    return { ...fault, field: `${before}${group}.${name}`, remedy };
  }

  // What stands in the form, as the server takes it.
  picks(count) {
    const known = {};
    for (const [name, given] of Object.entries(this.#stated())) {
      const { known: declared, box } = this.#knowns.get(name);
      const track = declared.of ? this.bench.marks.track(declared.of) : null;
      if (declared.of && !track?.points.length) continue;
      if (box.hidden || (declared.unit === null && given === declared.default)) continue;
      if (Array.isArray(given) ? given.some(Boolean) : given) known[name] = given;
    }
    const points = Object.fromEntries(this.bench.marks.tracks.filter(track => !track.free).map(track => [track.key, picksOf(track)]).filter(([, at]) => at.length));
    return { by: this.method.name, file: this.bench.file, points, known, lens: this.method.lens ? this.lens.value : null, doubt: this.doubt.value.trim() || "1", count };
  }
}

// What was typed or chosen, beyond what holds anyway: for telling whether anything would be lost.
function typed(stated, knowns) {
  const given = Object.entries(stated).filter(([name, value]) => (Array.isArray(value) ? value.some(Boolean) : value && !(knowns.get(name).known.unit === null && value === (knowns.get(name).known.default ?? knowns.get(name).known.words[0]))));
  return Object.fromEntries(given);
}

// Points of a role as they lie on the stage, and back: a span is two ends there and one pair in an entry.
function pointsOf(shape, given) {
  return shape === "span" ? given.flatMap(span => span.map(time => [time])) : given.map(point => [...point]);
}

function picksOf(track) {
  if (track.shape !== "span") return track.points;
  const times = ends(track).map(index => track.points[index][0]);
  return times.length < 2 ? [] : [[times[0], times[1]]];
}

function shapeOf(role) {
  if (role.form !== "point") return role.form;
  if (role.name === "corners") return "polygon";
  if (role.most <= 3) return role.most === 1 ? "point" : "line";
  return role.ordered ? "row" : "rim";
}
