// What is marked, and its past. A track is a role of a method or a mark of the entry's own, with its points.
//
// track: {key, label, shape, free, least, most, points}; `free` where it is a mark of the entry's own
// shapes on a photograph, points [x, y] in pixels: point, line, rim, row, box, polygon
// shapes on a recording: span, points [time] in seconds, its two ends in any order; guide, [time, frequency]

const MOST_STEPS = 300;

export class Marks {
  tracks = [];
  active = null;
  selected = null;
  // What is stated beside the marks, as the form has it; it shares their past.
  #stated = null;
  // The field that is being typed into: all that is typed into it at one go is one step of the past.
  #typing = null;
  #past = [];
  #future = [];
  #held = null;
  #listeners = [];

  on(listener) {
    this.#listeners.push(listener);
  }

  #tell(what) {
    for (const listener of this.#listeners) listener(what);
  }

  track(key) {
    return this.tracks.find(track => track.key === key);
  }

  get count() {
    return this.tracks.reduce((sum, track) => sum + track.points.length, 0);
  }

  // Other tracks altogether: another method, another entry. What came before is past undoing.
  take(tracks, stated = null) {
    this.tracks = tracks;
    this.#stated = stated;
    this.#typing = null;
    this.selected = null;
    this.#past = [];
    this.#future = [];
    this.#held = null;
    this.active = this.#unfinished() ?? tracks[0]?.key ?? null;
    this.#tell("tracks");
  }

  activate(key) {
    this.active = key;
    this.#tell("active");
  }

  // The next thing that can take points; when all are full the next of all.
  next() {
    const at = this.tracks.findIndex(track => track.key === this.active);
    const after = [...this.tracks.slice(at + 1), ...this.tracks.slice(0, at)];
    const next = after.find(track => track.points.length < track.most) ?? (this.room ? null : after[0]);
    if (next) this.activate(next.key);
  }

  // Whether a point can be set on what is being marked.
  get room() {
    const track = this.track(this.active);
    return Boolean(track) && track.points.length < track.most;
  }

  // A point is chosen; what is being marked stays what it is.
  select(key, index) {
    this.selected = key === null ? null : { key, index };
    this.#tell("selected");
  }

  // Something was typed or chosen beside the marks: all that is stated now, and by which field.
  state(stated, field) {
    if (JSON.stringify(stated) === JSON.stringify(this.#stated)) return;
    if (this.#typing !== field) this.#step();
    this.#typing = field;
    this.#stated = stated;
    this.#tell("stated");
  }

  // What is typed after this is another step of the past.
  typed() {
    this.#typing = null;
  }

  get stated() {
    return this.#stated;
  }

  // The point that is selected, or null.
  get point() {
    return this.selected ? this.track(this.selected.key)?.points[this.selected.index] ?? null : null;
  }

  add(point) {
    const track = this.track(this.active);
    if (!track || track.points.length >= track.most) return null;
    this.#step();
    track.points.push(held(track, point));
    this.selected = { key: track.key, index: track.points.length - 1 };
    if (track.points.length >= track.most) this.active = this.#unfinished() ?? track.key;
    this.#tell("points");
    return this.selected;
  }

  // From here to `release` all moves are one step of the past.
  hold() {
    this.#held = this.#state();
  }

  release() {
    if (this.#held !== null && this.#held !== this.#state()) this.#remember(this.#held);
    this.#held = null;
    this.#tell("released");
  }

  move(key, index, point) {
    if (this.#held === null) this.#step();
    const track = this.track(key);
    track.points[index] = held(track, point);
    this.#tell("points");
  }

  // All points of a track at once.
  put(key, points) {
    this.#step();
    const track = this.track(key);
    track.points = points;
    this.active = points.length >= track.most ? this.#unfinished() ?? key : key;
    this.selected = null;
    this.#tell("points");
  }

  remove(key, index) {
    this.#step();
    const track = this.track(key);
    track.points.splice(index, 1);
    if (!this.room) this.active = key;
    this.selected = track.points.length ? { key, index: Math.min(index, track.points.length - 1) } : null;
    this.#tell("points");
  }

  addTrack(track) {
    this.#step();
    this.tracks.push(track);
    this.active = track.key;
    this.selected = null;
    this.#tell("tracks");
  }

  removeTrack(key) {
    this.#step();
    this.tracks = this.tracks.filter(track => track.key !== key);
    if (this.active === key) this.active = this.tracks.at(-1)?.key ?? null;
    this.selected = null;
    this.#tell("tracks");
  }

  relabel(key, label) {
    this.track(key).label = label;
    this.#tell("labels");
  }

  undo() {
    this.#go(this.#past, this.#future);
  }

  redo() {
    this.#go(this.#future, this.#past);
  }

  get undoable() {
    return this.#past.length > 0;
  }

  get redoable() {
    return this.#future.length > 0;
  }

  #unfinished() {
    return this.tracks.find(track => track.points.length < Math.max(track.least, 1) && track.least > 0)?.key;
  }

  #state() {
    return JSON.stringify([this.tracks, this.active, this.#stated]);
  }

  #step() {
    this.#remember(this.#state());
  }

  #remember(state) {
    this.#typing = null;
    this.#past.push(state);
    if (this.#past.length > MOST_STEPS) this.#past.shift();
    this.#future = [];
  }

  #go(from, to) {
    if (!from.length) return;
    to.push(this.#state());
    [this.tracks, this.active, this.#stated] = JSON.parse(from.pop());
    this.#typing = null;
    if (!this.point) this.selected = null;
    this.#tell("past");
    this.#tell("tracks");
  }
}

// Of a span only the times are marked.
function held(track, point) {
  return track.shape === "span" ? point.slice(0, 1) : point;
}

// The ends of a span in the order of time, as places in its points.
export function ends(track) {
  return track.points.map((_, index) => index).sort((one, other) => track.points[one][0] - track.points[other][0]);
}

// What a point is called.
export function pointName(track, index) {
  if (track.shape !== "span") return `point ${index + 1}`;
  if (track.points.length < 2) return "one end";
  return ends(track).indexOf(index) === 0 ? "start" : "end";
}
