// Marks that are under way and not on the stage just now: of other photographs, other ways of measuring, notes.
//
// owner: the entry they belong to, or "" for a new one; kind: measurement or evidence

export class Shelf {
  // owner → file → kind → Map of place to track, and of "own" to the entry's own marks
  #kept = new Map();

  keep(owner, file, kind, tracks, own) {
    if (!file) return;
    const places = this.#at(owner, file, kind);
    for (const track of tracks) if (!track.free) places.set(`${track.key} ${track.shape}`, structuredClone(track));
    places.set("own", structuredClone(own));
  }

  // The points that were marked for a role.
  points(owner, file, kind, key, shape) {
    return structuredClone(this.#kept.get(owner)?.get(file)?.get(kind)?.get(`${key} ${shape}`)?.points ?? []);
  }

  // The entry's own marks.
  own(owner, file, kind) {
    return structuredClone(this.#kept.get(owner)?.get(file)?.get(kind)?.get("own") ?? []);
  }

  // Drop all of an owner, or what belongs to one file and kind.
  drop(owner, file = null, kind = null) {
    if (file === null) this.#kept.delete(owner);
    else this.#kept.get(owner)?.get(file)?.delete(kind);
  }

  // Files with marks of an owner, as [{file, count}]; all but those which `tracks` hold, of one file and kind.
  others(owner, file, kind, tracks) {
    const here = new Set(["own", ...tracks.map(track => `${track.key} ${track.shape}`)]);
    const found = [];
    for (const [one, kinds] of this.#kept.get(owner) ?? []) {
      let count = 0;
      for (const [which, places] of kinds) {
        for (const [place, track] of places) {
          if (one === file && which === kind && here.has(place)) continue;
          count += place === "own" ? track.length : Math.sign(track.points.length);
        }
      }
      if (count) found.push({ file: one, count });
    }
    return found;
  }

  #at(owner, file, kind) {
    const files = this.#kept.get(owner) ?? this.#kept.set(owner, new Map()).get(owner);
    const kinds = files.get(file) ?? files.set(file, new Map()).get(file);
    return kinds.get(kind) ?? kinds.set(kind, new Map()).get(kind);
  }
}
