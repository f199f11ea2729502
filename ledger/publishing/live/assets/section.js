/* The section: fields, results, what is going on, and the link that carries the numbers.

   Other scripts of the page read the reader's numbers with `witnessLive.state()`, which gives the object that state.js
   describes, and hear of each new result by the event `witness-numbers` of the section, whose `detail` holds the state
   and the answer. */
/* How often to draw: the same on every machine, so that two readers see the same ranges. */
const DRAWS = 200, SLICES = 4
const PAUSE = 250, PATIENCE = 400 // ms

class LiveSection {
  constructor(section, place, data) {
    Object.assign(this, { section, data, turn: 0 })
    this.held = globalThis.witnessLive.calculators[data.calculator]
    this.declaration = this.held.declaration
    const units = { ...this.declaration.units }
    for (const [path, more] of Object.entries(data.units)) units[path] = { ...(units[path] || { "": 1 }), ...more }
    this.desk = new Desk(this.held, units)
    this.fields = new Fields(this.declaration, data, () => this.later())
    this.results = new Results(this.declaration)
    this.notice = make("p", { class: "wl-live-notice", role: "alert", hidden: true })
    this.old = make("p", { class: "wl-live-outdated", hidden: true }, "What follows is of the numbers before: those above give no results yet.")
    this.said = make("p", { class: "wl-live-said", role: "status" })
    this.fault = make("p", { class: "wl-live-fault", role: "alert", hidden: true })
    this.bar = make("progress", { max: 1, value: 0, hidden: true, "aria-label": "Draws computed" })
    this.stop = make("button", { type: "button", class: "wl-live-small", hidden: true, onclick: () => this.halt() }, "Stop")
    this.link = make("button", { type: "button", class: "wl-live-small", onclick: () => this.copy() }, "Copy a link to these numbers")
    this.back = make("button", { type: "button", class: "wl-live-small", onclick: () => this.restore() }, "Back to the ledger’s own numbers")
    this.head = make("p", { class: "wl-live-head", hidden: true })
    this.inputs = make("form", { class: "wl-live-inputs", tabindex: "-1", "aria-label": "Numbers to try", onsubmit: event => { event.preventDefault(); this.run() } }, this.fields.element)
    this.address = make("input", { type: "text", readonly: true, hidden: true, "aria-label": "Link to these numbers", class: "wl-live-address" })
    place.append(
      this.notice, this.head, this.inputs, make("p", { class: "wl-live-buttons" }, this.link), this.address, this.fault,
      make("div", { class: "wl-live-going" }, this.said, this.bar, this.stop), this.old, this.results.element)
    addEventListener("hashchange", () => this.fromAddress())
    this.fromAddress() || this.run()
  }

  get state() {
    const { version, calculator, page } = this.data
    return { version, calculator, page, inputs: this.fields.inputs }
  }

  /* Puts in what the address carries; returns whether it did. */
  fromAddress() {
    if (location.hash === this.written) return false
    try {
      const inputs = decoded(location.hash, this.data, this.declaration)
      if (inputs === null) return false
      this.fields.fill(inputs)
    } catch (error) {
      this.notify(`${error.message} ${this.instead}`)
      this.section.scrollIntoView()
      return false
    }
    this.notify("")
    this.compare()
    this.run()
    this.section.scrollIntoView()
    return true
  }

  /* Says what stands in the fields in place of what could not be read. */
  get instead() {
    if (this.fields.differing.length) return "The fields are left as they were."
    return this.fields.own ? "The ledger’s own numbers stand in the fields instead." : "The fields are left empty or at the calculator’s defaults."
  }

  notify(words) {
    this.notice.textContent = words
    this.notice.hidden = !words
  }

  /* Says at the head whether these are the ledger's numbers, with a way back where they are not. */
  compare() {
    const labels = this.fields.differing
    this.head.hidden = !labels.length
    this.head.replaceChildren(...(labels.length ? [`${differences(labels)} `, this.back] : []))
    const filled = this.section.querySelector(".wl-live-filled")
    if (filled) filled.hidden = labels.length > 0
  }

  later() {
    clearTimeout(this.timer)
    this.notify("")
    this.compare()
    this.timer = setTimeout(() => this.run(), PAUSE)
  }

  async run() {
    clearTimeout(this.timer)
    const turn = (this.turn += 1)
    this.address.hidden = true
    if (this.desk.busy && performance.now() - this.since > PATIENCE) this.desk.end()
    this.going("Computing…")
    const asked = { inputs: this.fields.inputs, roots: this.fields.roots, criteria: this.data.criteria }
    this.since = performance.now()
    try {
      const answer = await this.desk.ask("compute", asked)
      if (turn !== this.turn) return
      if (this.show(answer)) await this.rest(turn, answer)
    } catch (error) {
      this.failed(turn, error)
    }
  }

  /* Shows numbers at once; returns whether there are any. */
  show(answer) {
    const others = this.fields.faults(answer.problems || [])
    if (answer.problems) {
      this.tell(others.map(one => one.text).join(" "))
      this.going(others.length ? "" : `${answer.problems.length === 1 ? "One field" : `${answer.problems.length} fields`} cannot be read.`)
      this.outdated(true)
      return false
    }
    this.tell("")
    this.outdated(false)
    this.results.show(answer, this.data.criteria)
    this.section.dispatchEvent(new CustomEvent("witness-numbers", { bubbles: true, detail: { state: this.state, answer } }))
    return true
  }

  /* Says whether what stands below is of the numbers before. */
  outdated(are) {
    this.results.element.classList.toggle("wl-live-old", are)
    this.old.hidden = !are || !this.results.element.childElementCount
  }

  /* Shows tables and curves, then draws. */
  async rest(turn, answer) {
    for (const name of answer.more) {
      const found = await this.desk.ask("more", { name })
      if (turn !== this.turn) return
      this.results.addMore(name, found)
    }
    if (answer.draws) await this.draw(turn, DRAWS)
    else this.going(this.declaration.vectorised ? "Computed. Nothing is in doubt here." : "Computed. What is in doubt is weighed inside; there are no draws.")
  }

  /* Draws in slices; in one go where words speak of the draws, for they have to see them all. */
  async draw(turn, count) {
    const slices = this.declaration.outputs.some(one => one.form === "text") ? 1 : SLICES
    this.going(`Computed at the middles of the inputs. Drawing ${count} times…`, slices === 1 ? undefined : 0)
    try {
      for (let start = 0; start < count; start += count / slices) {
        const found = await this.desk.ask("draw", { start, stop: start + count / slices, count })
        if (turn !== this.turn) return
        if (found.problem) {
          this.going(`Computed at the middles of the inputs; no range: ${found.problem}`)
          return
        }
        if (slices > 1) this.bar.value = found.done / count
      }
      const summed = await this.desk.ask("sum_up", {})
      if (turn !== this.turn) return
      this.results.spread(summed)
      this.going(`Computed at the middles of the inputs; ranges hold 95 % of ${count} draws.`)
    } catch (error) {
      this.failed(turn, error)
    }
  }

  failed(turn, error) {
    if (turn !== this.turn) return
    if (error instanceof Ended) this.going("Stopped.")
    else {
      this.going("")
      this.outdated(true)
      this.tell(`These inputs could not be computed here: ${error.message}.`)
    }
  }

  halt() {
    this.desk.end()
  }

  going(words, share = null) {
    this.said.textContent = words
    this.bar.hidden = share === null // Of an undefined share only that something goes on is known.
    if (share === undefined) this.bar.removeAttribute("value")
    else if (share !== null) this.bar.value = share
    this.stop.hidden = !words.endsWith("…")
  }

  tell(words) {
    this.fault.textContent = words
    this.fault.hidden = !words
  }

  async copy() {
    this.notify("")
    this.written = encoded(this.state)
    history.replaceState(null, "", this.written)
    this.address.value = location.href
    this.address.hidden = false
    this.address.select()
    try {
      await navigator.clipboard.writeText(location.href)
      this.link.textContent = "Copied"
    } catch {
      this.link.textContent = "Copy it from the field"
    }
    setTimeout(() => { this.link.textContent = "Copy a link to these numbers" }, 2000)
  }

  restore() {
    this.written = ""
    history.replaceState(null, "", location.pathname + location.search)
    this.fields.fill(this.data.inputs)
    this.notify("")
    this.compare()
    this.inputs.focus()
    this.run()
  }
}

const live = (globalThis.witnessLive ||= {}) // Whichever script of the page comes first makes it.
live.open = (section, place, data) => {
  const opened = new LiveSection(section, place, data)
  live.state = () => opened.state
  live.ask = (operation, asked) => opened.desk.ask(operation, asked)
}
