// The known plane seen square on.

import { send } from "./asking.js";
import { drawn, element } from "./elements.js";
import { list } from "./faults.js";

const LENGTHS = [1, 2, 5];

export class Rectified {
  #address = "";

  constructor(bench) {
    this.bench = bench;
    this.show = element("button", { type: "button", onclick: () => this.#open() }, "See the plane square on");
    this.body = element("div", { class: "rectified-body" });
    this.dialog = element("dialog", { class: "rectified", "aria-labelledby": "rectified-title" },
      element("h2", { id: "rectified-title" }, "The plane, square on"), this.body,
      element("button", { type: "button", onclick: () => this.dialog.close() }, "Close"));
    this.root = element("div", {}, this.show);
    document.body.append(this.dialog);
  }

  async #open() {
    this.show.disabled = true;
    const answer = await send("rectified", this.bench.form.picks(100));
    this.show.disabled = false;
    if (answer.wrong) this.body.replaceChildren(element("p", {}, "It cannot be shown yet."), list(answer.wrong));
    else this.#fill(answer);
    this.dialog.showModal();
  }

  #fill({ picture, width, height, scale, points }) {
    URL.revokeObjectURL(this.#address);
    const bytes = Uint8Array.from(atob(picture), sign => sign.charCodeAt(0));
    this.#address = URL.createObjectURL(new Blob([bytes], { type: "image/jpeg" }));
    const over = drawn("svg", { viewBox: `0 0 ${width} ${height}`, class: "rectified-marks" });
    this.bench.marks.tracks.forEach((track, place) => {
      const at = points[track.key] ?? [];
      const line = at.length > 1 && at.length <= 4 ? at.map(([x, y], index) => `${index ? "L" : "M"}${x} ${y}`).join("") + (track.shape === "polygon" ? "Z" : "") : "";
      const group = drawn("g", { class: `mark-${place % 6}` }, drawn("path", { class: "line under", d: line }), drawn("path", { class: "line", d: line }));
      for (const [x, y] of at) group.append(drawn("circle", { class: "ring under", cx: x, cy: y, r: 6 }), drawn("circle", { class: "ring", cx: x, cy: y, r: 6 }));
      over.append(group);
    });
    const [millimetres, pixels] = bar(scale, width);
    over.append(drawn("path", { class: "line under", d: `M20 ${height - 20}h${pixels}` }), drawn("path", { class: "line scale", d: `M20 ${height - 20}h${pixels}` }));
    const text = drawn("text", { class: "label", x: 20, y: height - 32 });
    text.textContent = `${millimetres} mm`;
    over.append(text);
    this.body.replaceChildren(element("div", { class: "rectified-picture" },
      element("img", { src: this.#address, width, height, alt: "The photograph carried over to the known plane, with the marks on it" }), over),
    element("p", { class: "hint" }, "At the best values of marks and knowns. Only what lies in the plane is shown true."));
  }
}

// A round length that fills about a fifth of the picture.
function bar(scale, width) {
  const aim = width / 5 / scale;
  const ten = 10 ** Math.floor(Math.log10(aim));
  const length = LENGTHS.map(one => one * ten).filter(one => one <= aim).at(-1) ?? ten;
  return [Number(length.toPrecision(3)), length * scale];
}
