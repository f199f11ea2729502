// Listening to a recording: the span that is being marked, or what is seen of it.

export class Player {
  // Where it is heard [s], while it is.
  time = null;
  #audio = document.createElement("audio");
  #until = 0;

  constructor(stage, button) {
    this.stage = stage;
    this.button = button;
    this.#audio.preload = "none";
    button.addEventListener("click", () => (this.#audio.paused ? this.#play() : this.#audio.pause()));
    this.#audio.addEventListener("play", () => this.#follow());
    this.#audio.addEventListener("pause", () => this.#stopped());
    this.#audio.addEventListener("ended", () => this.#stopped());
    this.#audio.addEventListener("error", () => this.#failed());
  }

  // The recording to be heard, or null.
  open(file) {
    this.#audio.pause();
    this.#stopped();
    if (file) this.#audio.src = `recording?${new URLSearchParams({ file })}`;
    else this.#audio.removeAttribute("src");
    this.button.hidden = !file;
  }

  async #play() {
    const { marks, view } = this.stage;
    const span = marks.track(marks.active);
    const seen = view.seen;
    const times = span?.shape === "span" && span.points.length === 2 ? span.points.map(([time]) => time).sort((one, other) => one - other) : [seen.start, seen.end];
    this.#until = times[1];
    this.#audio.currentTime = times[0];
    try {
      await this.#audio.play();
    } catch {
      this.#failed();
    }
  }

  #follow() {
    this.button.textContent = "Stop";
    const step = () => {
      if (this.#audio.paused) return;
      this.time = this.#audio.currentTime;
      if (this.time >= this.#until) this.#audio.pause();
      this.stage.paint();
      requestAnimationFrame(step);
    };
    step();
  }

  #stopped() {
    this.button.textContent = "Play";
    this.time = null;
    this.stage.paint();
  }

  #failed() {
    if (this.#audio.hasAttribute("src")) this.stage.where.textContent = "This browser cannot play the recording; it can be marked all the same.";
  }
}
