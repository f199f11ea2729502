// A recording seen: its envelope and its spectrogram, all of it once, and the part that is looked at anew.

import { get } from "./asking.js";

const REST = 120;
// How much more than what is seen is asked for on either side, as a share of it.
const BESIDE = 0.25;
const ROWS = 480;
// Of a recording that is longer [s] a coarse picture comes first, so many columns wide.
const LONG = 60;
const COARSE = 360;

export class Sound {
  #view;
  #layers = [];
  #loading = 0;
  #timer = 0;
  #asked = "";
  #changed = () => {};

  constructor(view) {
    this.#view = view;
    view.on(() => this.#rest());
  }

  // Calls `seen` with "whole" once there is a picture of it, and again as finer ones come. Resolves to what is wrong.
  async load(about, seen) {
    this.close();
    const mine = this.#loading;
    this.about = about;
    this.#changed = seen;
    const { duration, lowest, highest } = about;
    const layer = await this.#taken({ start: 0, end: duration, low: lowest, high: highest }, duration > LONG ? COARSE : Infinity);
    if (mine !== this.#loading) return [];
    if (layer.wrong) return layer.wrong;
    this.#layers = [layer];
    seen("whole");
    this.#rest();
    return [];
  }

  // Whether of what is seen only pieces are drawn.
  get inPieces() {
    return this.#layers.length > 0 && !this.#layers.at(-1).whole;
  }

  close() {
    this.#loading += 1;
    clearTimeout(this.#timer);
    for (const layer of this.#layers) layer.bitmap.close();
    this.#layers = [];
    this.#asked = "";
  }

  // Once the view is at rest, what is seen is asked for as it should be seen.
  #rest() {
    clearTimeout(this.#timer);
    if (this.#layers.length) this.#timer = setTimeout(() => this.#finer(), REST);
  }

  async #finer() {
    const { start, end, low, high } = this.#view.seen;
    const { duration, lowest, highest } = this.about;
    const more = BESIDE * (end - start);
    const ratio = (high / low) ** BESIDE;
    const part = { start: Math.max(start - more, 0), end: Math.min(end + more, duration), low: Math.max(low / ratio, lowest), high: Math.min(high * ratio, highest) };
    const whole = part.start === 0 && part.end === duration && part.low === lowest && part.high === highest;
    const asked = JSON.stringify(part);
    if (asked === this.#asked) return;
    this.#asked = asked;
    const mine = this.#loading;
    const fine = whole && (duration <= LONG || this.#layers[0].highs.length > COARSE);
    const layer = fine ? null : await this.#taken(part);
    if (mine !== this.#loading || asked !== this.#asked) {
      layer?.bitmap?.close();
      return;
    }
    for (const old of this.#layers.splice(1)) old.bitmap.close();
    if (layer && !layer.wrong) this.#layers.push(layer);
    this.#changed("finer");
  }

  async #taken(part, most = Infinity) {
    const { left, right } = this.#view.frame;
    const seen = this.#view.seen;
    const columns = Math.round(Math.min(most, (right - left) * Math.min((part.end - part.start) / (seen.end - seen.start), 1 + 2 * BESIDE)));
    const answer = await get("spectrogram", { file: this.about.file, ...part, columns, rows: ROWS });
    if (answer.wrong) return answer;
    const bytes = Uint8Array.from(atob(answer.picture), sign => sign.charCodeAt(0));
    return { ...answer, bitmap: await createImageBitmap(new Blob([bytes], { type: "image/png" })) };
  }

  // `colour`: name to colour, as the page's style has them.
  draw(context, colour) {
    const view = this.#view;
    const { left, right, top, bottom } = view.frame;
    context.save();
    context.beginPath();
    context.rect(left, 0, right - left, bottom);
    context.clip();
    for (const layer of this.#layers) {
      const [x, y] = view.screen([layer.start, layer.high]);
      const [x2, y2] = view.screen([layer.end, layer.low]);
      context.save();
      context.beginPath();
      context.rect(left, top, right - left, bottom - top);
      context.clip();
      context.imageSmoothingEnabled = true;
      context.drawImage(layer.bitmap, x, y, x2 - x, y2 - y);
      context.restore();
    }
    this.#envelope(context, colour);
    context.restore();
    this.#axes(context, colour);
  }

  #envelope(context, colour) {
    const view = this.#view;
    const { left, right, top } = view.frame;
    const half = top / 2 - 3;
    const tallest = Math.max(...this.#layers.slice(0, 1).flatMap(one => [...one.highs, ...one.lows.map(low => -low)]), 1);
    context.fillStyle = colour.share;
    for (let x = Math.floor(left); x < right; x += 1) {
      const from = view.source([x, 0])[0];
      const to = view.source([x + 1, 0])[0];
      const layer = this.#layers.findLast(one => one.start <= from && to <= one.end) ?? this.#layers[0];
      if (!layer) break;
      const count = layer.highs.length;
      const place = time => Math.floor((time - layer.start) / (layer.end - layer.start) * count);
      const first = Math.min(Math.max(place(from), 0), count - 1);
      const last = Math.min(Math.max(place(to), first), count - 1);
      let low = 0;
      let high = 0;
      for (let at = first; at <= last; at += 1) {
        low = Math.min(low, layer.lows[at]);
        high = Math.max(high, layer.highs[at]);
      }
      const up = high / tallest * half;
      context.fillRect(x, top / 2 - up, 1, Math.max(up - low / tallest * half, 1));
    }
  }

  #axes(context, colour) {
    const view = this.#view;
    const { left, right, top, bottom } = view.frame;
    context.strokeStyle = colour.edge;
    context.fillStyle = colour.ink;
    context.lineWidth = 1;
    context.font = "12px system-ui, sans-serif";
    context.strokeRect(left - 0.5, top - 0.5, right - left + 1, bottom - top + 1);
    context.textAlign = "center";
    context.textBaseline = "top";
    const times = timeTicks(view.seen, (right - left) / 90);
    for (const { at, text } of times) {
      const [x] = view.screen([at]);
      line(context, x, bottom, x, bottom + 5);
      context.fillText(text, Math.min(Math.max(x, left + 8), right - 14), bottom + 7);
    }
    context.textAlign = "right";
    context.textBaseline = "middle";
    for (const at of frequencyTicks(view.seen, (bottom - top) / 34)) {
      const [, y] = view.screen([0, at]);
      line(context, left - 5, y, left, y);
      context.fillText(at >= 1000 ? `${Number((at / 1000).toFixed(3))} k` : String(Number(at.toFixed(2))), left - 8, Math.min(Math.max(y, top + 7), bottom - 7));
    }
    context.fillText("Hz", left - 8, top - 9);
    context.textAlign = "left";
    context.fillText("s", 4, bottom + 13);
  }
}

function line(context, x, y, x2, y2) {
  context.beginPath();
  context.moveTo(x, y);
  context.lineTo(x2, y2);
  context.stroke();
}

// A round step of 1, 2 or 5 that parts a range into `count` steps at most.
function round(range, count) {
  const least = range / Math.max(count, 1);
  const ten = 10 ** Math.floor(Math.log10(least));
  return [1, 2, 5, 10].map(one => one * ten).find(one => one >= least * 0.999) ?? 10 * ten;
}

function timeTicks({ start, end }, count) {
  const step = round(end - start, count);
  const digits = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const ticks = [];
  for (let number = Math.ceil(start / step - 1e-6); number * step <= end + 1e-9; number += 1) ticks.push({ at: number * step, text: (number * step).toFixed(digits) });
  return ticks;
}

// Round frequencies: of each decade while many are seen, evenly when few are.
function frequencyTicks({ low, high }, count) {
  const decades = Math.log10(high / low);
  const ticks = [];
  if (decades < 0.7) {
    const step = round(high - low, count);
    for (let number = Math.ceil(low / step - 1e-6); number * step <= high * 1.0001; number += 1) ticks.push(number * step);
    return ticks;
  }
  const digits = [[1], [1, 3], [1, 2, 5], [1, 2, 3, 5, 7]].findLast(one => one.length * decades <= count) ?? [1];
  for (let ten = 10 ** Math.floor(Math.log10(low)); ten <= high; ten *= 10) {
    for (const digit of digits) if (digit * ten >= low * 0.999 && digit * ten <= high * 1.001) ticks.push(digit * ten);
  }
  return ticks;
}
