// Where a recording lies on the stage: time goes across, the logarithm of frequency upwards, the envelope above it.
//
// Places are [time in seconds, frequency in hertz], or [time] alone. Zooming is of time; frequencies have their own.

const LEFT = 50;
const RIGHT = 8;
const BELOW = 24;
const EDGE = 30;
// Digits of a second.
const FINEST = 4;
// The least that is shown: seconds, and the ratio of frequencies.
const SHORTEST = 0.02;
const NARROWEST = 1.2;
const STEPS = { fine: [0.001, 0.1], plain: [0.01, 1], coarse: [0.1, 10] };
// Fingers that lie closer than this in one direction do not zoom in it.
const APART = 40;

export class SoundView {
  sound = { duration: 1, lowest: 20, highest: 20000 };
  width = 1;
  height = 1;
  start = 0;
  across = 1;
  high = Math.log(20000);
  down = 1;
  #listeners = [];

  on(listener) {
    this.#listeners.push(listener);
  }

  #tell() {
    for (const listener of this.#listeners) listener();
  }

  // Edges of the spectrogram on the screen; the envelope lies between 0 and `top`.
  get frame() {
    return { left: LEFT, right: Math.max(this.width - RIGHT, LEFT + 1), top: Math.round(Math.min(Math.max(0.2 * this.height, 44), 110)), bottom: Math.max(this.height - BELOW, 60) };
  }

  get #wide() {
    return this.frame.right - LEFT;
  }

  get #tall() {
    return Math.max(this.frame.bottom - this.frame.top, 1);
  }

  // What is seen: times and frequencies.
  get seen() {
    return {
      start: Math.max(this.start, 0), end: Math.min(this.start + this.#wide / this.across, this.sound.duration),
      low: Math.max(Math.exp(this.high - this.#tall / this.down), this.sound.lowest), high: Math.min(Math.exp(this.high), this.sound.highest),
    };
  }

  screen([time, frequency]) {
    const { top } = this.frame;
    return [LEFT + (time - this.start) * this.across, frequency === undefined ? top / 2 : top + (this.high - Math.log(frequency)) * this.down];
  }

  source([x, y]) {
    return [this.start + (x - LEFT) / this.across, Math.exp(this.high - (y - this.frame.top) / this.down)];
  }

  // A place inside the recording, no finer than the screen shows it, or to a tenth of a millisecond; and of a hertz.
  inside([time, frequency], digits = Math.min(Math.max(Math.ceil(Math.log10(this.across)) + 1, 1), FINEST)) {
    const { duration, lowest, highest } = this.sound;
    const [part, finest] = [10 ** digits, 10 ** FINEST];
    const at = Math.min(Math.max(Math.round(time * part) / part, 0), Math.floor(duration * finest) / finest);
    return frequency === undefined ? [at] : [at, Math.min(Math.max(Math.round(frequency * 10) / 10, lowest), highest)];
  }

  cross([time, frequency]) {
    return this.inside([time, frequency ?? this.source(this.#middle)[1]]);
  }

  nudged([time, frequency], [across, down], how) {
    const [seconds, hertz] = STEPS[how];
    return this.inside([time + across * seconds, frequency === undefined ? undefined : frequency - down * hertz], FINEST);
  }

  words([time, frequency]) {
    return frequency === undefined ? `${seconds(time)} s` : `${seconds(time)} s, ${hertz(frequency)} Hz`;
  }

  get shown() {
    const { start, end, low, high } = this.seen;
    const digits = end - start < 1 ? 3 : 2;
    return `${this.sound.duration.toFixed(2)} s, shown from ${start.toFixed(digits)} to ${end.toFixed(digits)} s and ${Math.round(low)} to ${Math.round(high)} Hz`;
  }

  resize(width, height) {
    const { start, end, low, high } = this.seen;
    this.width = width;
    this.height = height;
    this.#show(start, end, low, high);
  }

  fit() {
    const { duration, lowest, highest } = this.sound;
    this.#show(0, duration, lowest, highest);
  }

  #show(start, end, low, high) {
    this.start = start;
    this.across = this.#wide / Math.max(end - start, SHORTEST);
    this.high = Math.log(high);
    this.down = this.#tall / Math.max(Math.log(high / low), Math.log(NARROWEST));
    this.#settle();
  }

  zoom(factor, at = this.#middle) {
    const [time] = this.source(at);
    this.across = Math.min(this.across * factor, this.#wide / SHORTEST);
    this.across = Math.max(this.across, this.#wide / this.sound.duration);
    this.start = time - (at[0] - LEFT) / this.across;
    this.#settle();
  }

  zoomFrequencies(factor, at = this.#middle) {
    const { lowest, highest } = this.sound;
    const place = this.high - (at[1] - this.frame.top) / this.down;
    this.down = Math.min(this.down * factor, this.#tall / Math.log(NARROWEST));
    this.down = Math.max(this.down, this.#tall / Math.log(highest / lowest));
    this.high = place + (at[1] - this.frame.top) / this.down;
    this.#settle();
  }

  get #middle() {
    const { left, right, top, bottom } = this.frame;
    return [(left + right) / 2, (top + bottom) / 2];
  }

  pinch(before, now) {
    this.pan(now.middle[0] - before.middle[0], now.middle[1] - before.middle[1]);
    if (Math.min(before.wide, now.wide) > APART) this.zoom(now.wide / before.wide, now.middle);
    if (Math.min(before.tall, now.tall) > APART) this.zoomFrequencies(now.tall / before.tall, now.middle);
  }

  pan(across, down) {
    this.start -= across / this.across;
    this.high += down / this.down;
    this.#settle();
  }

  show(point) {
    const { left, right, top, bottom } = this.frame;
    const [x, y] = this.screen(point);
    const across = x < left + EDGE ? left + EDGE - x : x > right - EDGE ? right - EDGE - x : 0;
    const down = point.length < 2 ? 0 : y < top + EDGE ? top + EDGE - y : y > bottom - EDGE ? bottom - EDGE - y : 0;
    if (across || down) this.pan(across, down);
  }

  #settle() {
    const { duration, lowest, highest } = this.sound;
    this.start = Math.max(Math.min(this.start, duration - this.#wide / this.across), 0);
    this.high = Math.max(Math.min(this.high, Math.log(highest)), Math.log(lowest) + this.#tall / this.down);
    this.#tell();
  }
}

function seconds(time) {
  return String(Number(time.toFixed(4)));
}

function hertz(frequency) {
  return String(Number(frequency.toFixed(frequency < 1000 ? 1 : 0)));
}
