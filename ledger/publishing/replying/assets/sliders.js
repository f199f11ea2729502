/* Sliders for the confidences in the rivals: they sum to a hundred points, each moved by mouse, finger or arrow keys. */
class Sliders {
  constructor(rivals, question, changed) {
    this.rivals = rivals
    this.changed = changed
    this.shares = new Shares(rivals.length)
    this.rows = rivals.map((rival, at) => this.row(rival, at))
    this.wanted = make("input", { type: "checkbox", id: newId() })
    this.place = make("div", { class: "wl-reply-rivals", hidden: true },
      make("p", { class: "wl-note" }, "They sum to 100 %: moving one shares out the rest. Hold those that are to stay. They are shown beside the author’s confidences and never mixed into them."),
      this.rows.map(row => row.element))
    this.element = make("fieldset", {}, make("legend", {}, "Your own confidences"),
      make("p", { class: "wl-reply-choice" }, this.wanted, make("label", { for: this.wanted.id }, `Say how probable you hold each answer to “${question}”`)),
      this.place)
    this.wanted.addEventListener("change", () => { this.show(); changed() })
    this.refresh()
  }

  row(rival, at) {
    const id = newId()
    const slider = make("input", { type: "range", min: 0, max: WHOLE, step: 1, id })
    const number = make("output", { for: id, class: "wl-number" })
    const hold = make("input", { type: "checkbox", "aria-label": `Hold: ${rival.title}` })
    slider.addEventListener("input", () => {
      this.shares.move(at, Number(slider.value))
      this.refresh()
      this.changed()
    })
    hold.addEventListener("change", () => {
      this.shares.held[at] = hold.checked
      this.refresh()
    })
    const element = make("div", { class: "wl-reply-rival" }, make("label", { for: id }, rival.title), slider, number, make("label", { class: "wl-reply-hold" }, hold, " hold"))
    return { element, slider, number, hold }
  }

  refresh() {
    this.rows.forEach(({ slider, number }, at) => {
      const points = this.shares.points[at]
      slider.value = points
      slider.setAttribute("aria-valuetext", `${points} %`)
      slider.disabled = this.shares.held[at]
      number.textContent = `${points} %`
    })
  }

  show() {
    this.place.hidden = !this.wanted.checked
  }

  get values() {
    return this.wanted.checked ? this.shares.points : null
  }

  set values(points) {
    this.wanted.checked = points !== null && this.shares.restore(points)
    this.show()
    this.refresh()
  }

  get confidences() {
    if (!this.wanted.checked) return {}
    return Object.fromEntries(this.rivals.map((rival, at) => [rival.ref, this.shares.points[at] / WHOLE]))
  }
}
