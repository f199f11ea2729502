// A loupe beside a place, so that neither finger nor pointer hides what is being marked.

const SIZE = 172;
const AWAY = 34;
const GROWN = 4;
const LEAST = 6;

export class Loupe {
  #canvas;
  #view;
  #picture;

  constructor(canvas, view, picture) {
    this.#canvas = canvas;
    this.#view = view;
    this.#picture = picture;
  }

  hide() {
    this.#canvas.hidden = true;
  }

  show(point) {
    const canvas = this.#canvas;
    const ratio = devicePixelRatio || 1;
    const size = Math.min(SIZE, this.#view.width * 0.45);
    if (canvas.width !== Math.round(size * ratio)) canvas.width = canvas.height = Math.round(size * ratio);
    canvas.style.width = canvas.style.height = `${size}px`;
    const [x, y] = this.#view.screen(point);
    const left = x + AWAY + size < this.#view.width ? x + AWAY : x - AWAY - size;
    const top = y - AWAY - size > 0 ? y - AWAY - size : y + AWAY;
    const held = (at, most) => Math.min(Math.max(at, 4), most - size - 4);
    canvas.style.transform = `translate(${held(left, this.#view.width)}px, ${held(top, this.#view.height)}px)`;
    canvas.hidden = false;
    const scale = Math.max(this.#view.scale * GROWN, LEAST) * ratio;
    const across = canvas.width;
    const context = canvas.getContext("2d", { alpha: false });
    context.fillStyle = "#1c2427";
    context.fillRect(0, 0, across, across);
    this.#picture.draw(context, point[0] - across / 2 / scale, point[1] - across / 2 / scale, scale, across, across);
    cross(context, across, ratio);
  }
}

function cross(context, across, ratio) {
  const middle = across / 2;
  const gap = 7 * ratio;
  for (const [colour, width] of [["rgb(0 0 0 / 70%)", 3], ["#ffffff", 1]]) {
    context.strokeStyle = colour;
    context.lineWidth = width * ratio;
    context.beginPath();
    for (const [one, other] of [[0, middle - gap], [middle + gap, across]]) {
      context.moveTo(one, middle);
      context.lineTo(other, middle);
      context.moveTo(middle, one);
      context.lineTo(middle, other);
    }
    context.stroke();
  }
  context.fillStyle = "#ffffff";
  context.fillRect(middle - ratio / 2, middle - ratio / 2, ratio, ratio);
}
