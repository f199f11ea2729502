// A photograph decoded once, with smaller copies of it, so that drawing it is quick at any zoom.

import { photographAddress } from "./asking.js";

const SMALLEST = 900;
// From so many screen pixels to one of the picture, its pixels are shown as squares.
const SQUARES = 6;

export class Picture {
  #levels = [];
  #loading = 0;

  get ready() {
    return this.#levels.length > 0;
  }

  // Calls `seen` with "first look" as soon as there is anything to be seen, and with "whole" when all of it is.
  // Resolves to what is wrong, or to null.
  async load(about, seen) {
    this.#loading += 1;
    const mine = this.#loading;
    const current = () => mine === this.#loading;
    this.#clear();
    const large = about.width * about.height > 6e6;
    let whole = false;
    if (large) {
      taken(photographAddress(about.file, "first-look")).then(bitmap => {
        if (!bitmap || !current() || whole) return;
        this.#levels = [{ bitmap, scale: bitmap.width / about.width }];
        seen("first look");
      });
    }
    let bitmap = await taken(photographAddress(about.file));
    // A browser that does not turn a picture as it is held, or does not know its kind, gets it made anew.
    if (!fits(bitmap, about)) bitmap = await taken(photographAddress(about.file, "anew"));
    if (!current()) return null;
    if (!fits(bitmap, about)) return "The picture is damaged, or cut off: it cannot be shown. Copy it again.";
    whole = true;
    this.#clear();
    this.#levels = [{ bitmap, scale: 1 }];
    seen("whole");
    await this.#shrink(bitmap, about, current);
    if (current()) seen("smaller copies");
    return null;
  }

  async #shrink(bitmap, about, current) {
    let from = bitmap;
    while (Math.max(from.width, from.height) > 2 * SMALLEST) {
      const size = { resizeWidth: Math.round(from.width / 2), resizeHeight: Math.round(from.height / 2) };
      const smaller = await createImageBitmap(from, { ...size, resizeQuality: "medium" });
      if (!current()) return;
      this.#levels.unshift({ bitmap: smaller, scale: smaller.width / about.width });
      from = smaller;
    }
  }

  #clear() {
    for (const level of this.#levels) level.bitmap.close();
    this.#levels = [];
  }

  // Draws the part of the picture from (x, y) on, `scale` pixels of the canvas to one of the picture.
  draw(context, x, y, scale, width, height) {
    const level = this.#levels.find(one => one.scale >= scale) ?? this.#levels.at(-1);
    if (!level) return;
    const { bitmap, scale: share } = level;
    const left = Math.max(0, Math.floor(x * share));
    const top = Math.max(0, Math.floor(y * share));
    const right = Math.min(bitmap.width, Math.ceil((x + width / scale) * share));
    const bottom = Math.min(bitmap.height, Math.ceil((y + height / scale) * share));
    if (right <= left || bottom <= top) return;
    const grown = scale / share;
    context.imageSmoothingEnabled = scale < SQUARES;
    context.drawImage(bitmap, left, top, right - left, bottom - top,
      left * grown - x * scale, top * grown - y * scale, (right - left) * grown, (bottom - top) * grown);
  }
}

function fits(bitmap, about) {
  return bitmap !== null && bitmap.width === about.width && bitmap.height === about.height;
}

async function taken(address) {
  try {
    const response = await fetch(address);
    return response.ok ? await createImageBitmap(await response.blob(), { imageOrientation: "from-image" }) : null;
  } catch {
    return null;
  }
}
