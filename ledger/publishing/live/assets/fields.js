/* The fields: one for every input, a small table for rows. What is filled in stands open, what is at its default folded. */
let fieldCount = 0

class Fields {
  constructor(declaration, data, changed) {
    this.declaration = declaration
    this.data = data
    this.changed = changed
    this.places = new Map()
    this.element = make("div", { class: "wl-live-fields" })
    this.fill(data.inputs)
  }

  /* Puts values into all fields. */
  fill(inputs) {
    this.places.clear()
    const open = [], folded = []
    for (const declared of this.declaration.inputs) {
      const shown = declared.kind === "rows" ? this.table(declared, inputs[declared.name] || []) : this.field(declared, inputs[declared.name], declared.name)
      const asked = declared.name in inputs || declared.name in this.data.inputs || (declared.kind === "rows" ? !declared.optional : declared.default === null)
      ;(asked ? open : folded).push(shown)
    }
    const rest = folded.length ? make("details", { class: "wl-live-rest" }, make("summary", {}, `${folded.length} more, at the calculator’s default${folded.length > 1 ? "s" : ""}`), ...folded) : null
    this.element.replaceChildren(...open, ...(rest ? [rest] : []))
  }

  /* Returns a labelled field; for a cell of a table without its own label. */
  field(declared, value, path, label = null) {
    const id = `wl-live-${(fieldCount += 1)}`
    const input = this.input(declared, value, id, label)
    const fault = make("span", { class: "wl-live-fault", id: `${id}-fault`, hidden: true })
    const hint = make("small", { id: `${id}-hint` })
    const mark = make("small", { class: "wl-live-differs", id: `${id}-mark`, hidden: true })
    input.setAttribute("aria-describedby", `${id}-hint ${id}-mark ${id}-fault`)
    const place = { declared, input, fault, hint, mark, path, filled: value }
    this.places.set(path, place)
    this.tell(place)
    input.addEventListener("input", () => {
      this.tell(place)
      this.changed()
    })
    if (label !== null) return make("div", { class: "wl-live-cell" }, input, hint, mark, fault)
    const unit = declared.unit ? ` [${declared.unit}]` : ""
    return make("div", { class: "wl-live-field" }, make("label", { for: id }, declared.label + unit), input, hint, mark, fault)
  }

  input(declared, value, id, label) {
    const named = label === null ? { id } : { id, "aria-label": label }
    if (declared.kind === "choice" || declared.kind === "truth") {
      const options = declared.kind === "truth" ? ["yes", "no"] : declared.options
      const at = declared.kind === "truth" ? (value === undefined ? declared.default : value) : value ?? declared.default
      const chosen = declared.kind === "truth" && typeof at === "boolean" ? (at ? "yes" : "no") : at
      const select = make("select", named, ...options.map(one => make("option", { value: one }, one)))
      select.value = chosen ?? options[0]
      return select
    }
    const hint = declared.unlimited ? "no limit" : declared.default ?? ""
    return make("input", { ...named, type: "text", value: value ?? "", placeholder: hint, autocomplete: "off", spellcheck: "false", maxlength: LONGEST_TEXT })
  }

  /* Says under a field what it may be, or where its value was taken from as long as it stands there. */
  tell(place) {
    const { declared, input, hint, mark, path, filled } = place
    const there = this.inLedger(place)
    mark.hidden = there === null
    mark.textContent = there === null ? "" : `Changed; in the ledger: ${there || "left empty"}`
    widen(declared, input)
    const taken = this.data.taken[path]
    if (taken && input.value === filled && filled === this.filledAt(path)) {
      hint.replaceChildren("from ", taken.href ? make("a", { href: taken.href }, taken.words) : taken.words)
    } else {
      hint.textContent = path.includes(".") || declared.permitted === undefined ? "" : declared.permitted
    }
  }

  /* Returns whether there are numbers of the ledger to differ from. */
  get own() {
    return Object.keys(this.data.inputs).length > 0
  }

  /* Returns what stands in the ledger where a field differs from it; null where it does not, or in a row of the reader's. */
  inLedger({ declared, input, path }) {
    const [name, row] = path.split(".")
    if (!this.own || (row !== undefined && !this.data.inputs[name]?.[row])) return null
    const there = standing(declared, this.filledAt(path))
    return standing(declared, input.value.trim() === "" ? undefined : input.value) === there ? null : there
  }

  /* Returns the labels of all that differs from the ledger. */
  get differing() {
    if (!this.own) return []
    return [...this.places.values()].flatMap(place => {
      if (!place.input) return place.body.rows.length === this.rowsInLedger(place) ? [] : [`${place.declared.label}, number of rows`]
      if (this.inLedger(place) === null) return []
      const row = place.path.split(".")[1]
      return [place.declared.label + (row === undefined ? "" : `, row ${Number(row) + 1}`)]
    })
  }

  rowsInLedger({ declared }) {
    return this.data.inputs[declared.name]?.length ?? 0
  }

  filledAt(path) {
    const [name, place, column] = path.split(".")
    const value = this.data.inputs[name]
    return place === undefined ? value : value?.[place]?.[column]
  }

  table(declared, rows) {
    const body = make("tbody")
    const heads = declared.columns.map(one => make("th", { scope: "col" }, one.label + (one.unit ? ` [${one.unit}]` : "")))
    const fault = make("p", { class: "wl-live-fault", hidden: true })
    const note = make("p", { class: "wl-live-differs", hidden: true })
    const place = { declared, fault, rows: [], input: null }
    this.places.set(declared.name, place)
    const add = make("button", { type: "button", class: "wl-live-small" }, "Add a row")
    const renew = focus => {
      for (const path of [...this.places.keys()]) if (path.startsWith(`${declared.name}.`)) this.places.delete(path)
      body.replaceChildren(...place.rows.map((row, index) => this.row(declared, row, index, place, renew)))
      const known = this.rowsInLedger(place)
      note.hidden = !this.own || known === place.rows.length
      note.textContent = `Changed; in the ledger: ${known === 1 ? "1 row" : `${known} rows`}`
      if (focus) focus()
    }
    add.addEventListener("click", () => {
      place.rows = this.rowsOf(declared.name)
      place.rows.push({})
      renew(() => body.lastElementChild.querySelector("input, select").focus())
      this.changed()
    })
    place.rows = rows.map(row => ({ ...row }))
    if (!place.rows.length && !declared.optional) place.rows = Array.from({ length: declared.least }, () => ({}))
    place.body = body
    renew()
    const rowsOf = make("table", { class: "wl-table wl-cards" }, make("thead", {}, make("tr", {}, ...heads, make("th", { scope: "col" }, make("span", { class: "wl-live-hidden" }, "Remove")))), body)
    return fitted(make("fieldset", { class: "wl-live-table" }, make("legend", {}, declared.label), note, fault, make("div", { class: "wl-live-rows" }, rowsOf), add))
  }

  row(declared, row, index, place, renew) {
    const cells = declared.columns.map(column => {
      const label = `${column.label}, row ${index + 1}`
      const cell = this.field(column, row[column.name], `${declared.name}.${index}.${column.name}`, label)
      return make("td", { "data-label": column.label + (column.unit ? ` [${column.unit}]` : "") }, cell)
    })
    const remove = make("button", { type: "button", class: "wl-live-small", "aria-label": `Remove row ${index + 1} of ${declared.label}` }, "Remove")
    remove.addEventListener("click", () => {
      place.rows = this.rowsOf(declared.name)
      place.rows.splice(index, 1)
      renew(() => (place.body.querySelector("input, select") || place.body.closest("fieldset").querySelector("button:last-child")).focus())
      this.changed()
    })
    const added = this.own && index >= this.rowsInLedger(place)
    return make("tr", {}, ...cells, make("td", {}, remove, added ? make("small", { class: "wl-live-differs" }, "Row not in the ledger") : ""))
  }

  rowsOf(name) {
    const { declared, body } = this.places.get(name)
    return Array.from(body.rows, (_, index) => Object.fromEntries(declared.columns.flatMap(column => {
      const value = this.value(this.places.get(`${name}.${index}.${column.name}`))
      return value === undefined ? [] : [[column.name, value]]
    })))
  }

  /* Returns a field's value; undefined where it stands at its default. */
  value({ declared, input }) {
    if (declared.kind === "truth") return (input.value === "yes") === declared.default ? undefined : input.value === "yes"
    if (declared.kind === "choice") return input.value === declared.default ? undefined : input.value
    return input.value.trim() === "" ? undefined : input.value
  }

  get inputs() {
    const made = {}
    for (const declared of this.declaration.inputs) {
      const value = declared.kind === "rows" ? this.rowsOf(declared.name) : this.value(this.places.get(declared.name))
      if (value !== undefined && !(Array.isArray(value) && !value.length)) made[declared.name] = value
    }
    return made
  }

  /* Returns the roots of the values that still stand as they were taken. */
  get roots() {
    return Object.fromEntries(Object.entries(this.data.roots).filter(([path]) => {
      const place = this.places.get(path)
      return place && place.input && place.input.value === this.filledAt(path)
    }))
  }

  /* Shows problems beside their fields; returns those that belong to none. */
  faults(problems) {
    for (const { fault, input } of this.places.values()) {
      fault.hidden = true
      fault.textContent = ""
      if (input) input.removeAttribute("aria-invalid")
    }
    return problems.filter(({ field, text }) => {
      const place = this.places.get(field)
      if (!place) return true
      place.fault.textContent = text[0].toUpperCase() + text.slice(1)
      place.fault.hidden = false
      if (place.input) place.input.setAttribute("aria-invalid", "true")
      const folded = place.fault.closest("details")
      if (folded) folded.open = true
      return false
    })
  }
}
