// Where a photograph lies on the stage: `scale` screen pixels to one of the picture, `x`, `y` its place at the corner.

import { number } from "./elements.js";

const NEAREST = 64;
const EDGE = 40;
const STEPS = { fine: 0.1, plain: 1, coarse: 10 };

export class View {
  scale = 1;
  x = 0;
  y = 0;
  width = 1;
  height = 1;
  picture = { width: 1, height: 1 };
  #listeners = [];

  on(listener) {
    this.#listeners.push(listener);
  }

  #tell() {
    for (const listener of this.#listeners) listener();
  }

  get whole() {
    return Math.min(this.width / this.picture.width, this.height / this.picture.height);
  }

  screen([x, y]) {
    return [(x - this.x) * this.scale, (y - this.y) * this.scale];
  }

  source([x, y]) {
    return [x / this.scale + this.x, y / this.scale + this.y];
  }

  // A place of the picture to a tenth of a pixel, and inside it.
  inside([x, y]) {
    const held = (one, most) => Math.round(Math.min(Math.max(one, 0), most) * 10) / 10;
    return [held(x, this.picture.width), held(y, this.picture.height)];
  }

  // Where the cross stands that is left at a point.
  cross(point) {
    return [...point];
  }

  // A place moved by a key: `how` is fine, plain or coarse.
  nudged([x, y], [across, down], how) {
    return this.inside([x + across * STEPS[how], y + down * STEPS[how]]);
  }

  words([x, y]) {
    return `${number(x)}, ${number(y)} px`;
  }

  get shown() {
    const { width, height } = this.picture;
    return `${width} × ${height} px, shown at ${Math.round(100 * this.scale)} %`;
  }

  resize(width, height) {
    const middle = this.source([this.width / 2, this.height / 2]);
    const was = this.scale <= this.whole * 1.001;
    this.width = width;
    this.height = height;
    if (was) this.fit();
    else this.centre(middle);
  }

  fit() {
    this.scale = this.whole;
    this.centre([this.picture.width / 2, this.picture.height / 2]);
  }

  centre([x, y]) {
    this.x = x - this.width / 2 / this.scale;
    this.y = y - this.height / 2 / this.scale;
    this.#settle();
  }

  zoom(factor, at = [this.width / 2, this.height / 2]) {
    this.zoomTo(this.scale * factor, at);
  }

  zoomTo(scale, at = [this.width / 2, this.height / 2]) {
    const [x, y] = this.source(at);
    this.scale = Math.min(Math.max(scale, Math.min(this.whole, 1)), NEAREST);
    this.x = x - at[0] / this.scale;
    this.y = y - at[1] / this.scale;
    this.#settle();
  }

  // Two fingers went on: {middle, reach} before and now.
  pinch(before, now) {
    this.pan(now.middle[0] - before.middle[0], now.middle[1] - before.middle[1]);
    this.zoom(Math.max(now.reach, 1) / Math.max(before.reach, 1), now.middle);
  }

  pan(across, down) {
    this.x -= across / this.scale;
    this.y -= down / this.scale;
    this.#settle();
  }

  // Move only as far as is needed for a place to be seen.
  show(point) {
    const [x, y] = this.screen(point);
    const across = x < EDGE ? EDGE - x : x > this.width - EDGE ? this.width - EDGE - x : 0;
    const down = y < EDGE ? EDGE - y : y > this.height - EDGE ? this.height - EDGE - y : 0;
    if (across || down) this.pan(across, down);
  }

  // The picture stays in the middle while it is smaller than the stage, and never leaves it when it is larger.
  #settle() {
    const held = (at, seen, all) => (seen >= all ? (all - seen) / 2 : Math.min(Math.max(at, -EDGE / this.scale), all - seen + EDGE / this.scale));
    this.x = held(this.x, this.width / this.scale, this.picture.width);
    this.y = held(this.y, this.height / this.scale, this.picture.height);
    this.#tell();
  }
}
