/* What comes out: numbers and criteria in a table, then tables and curves. */
class Results {
  constructor(declaration) {
    this.labels = new Map(declaration.outputs.map(one => [one.name, one]))
    this.element = make("div", { class: "wl-live-results" })
  }

  show(answer, criteria) {
    this.spans = new Map()
    const rows = answer.outputs.map(one => {
      const { label, form } = this.labels.get(one.name)
      const text = (form === "truth" ? (one.value ? "yes" : "no") : one.text) || "–"
      const span = make("td", { "data-label": "Range of the draws", class: "wl-number" })
      this.spans.set(one.name, span)
      return make("tr", {}, make("th", { scope: "row" }, label), make("td", { "data-label": "At the middles", class: "wl-number" }, text), span)
    })
    this.held = criteria.map(() => make("td", { "data-label": "Range of the draws" }))
    const kept = criteria.map((one, index) => {
      const met = answer.criteria[index]
      const word = met === null ? "not asked for by these inputs" : met ? "kept" : "not kept"
      return make("tr", {}, make("th", { scope: "row" }, `${one.label}: ${one.limit}`),
        make("td", { "data-label": "At the middles" }, make("span", { class: `wl-limit wl-${met === false ? "against" : "for"}` }, word)), this.held[index])
    })
    this.more = new Map(answer.more.map(name => [name, make("div")]))
    const parts = []
    if (kept.length) parts.push(make("h3", {}, "Criteria"), this.table("Criterion", kept))
    parts.push(make("h3", {}, "What comes out"), this.table("Output", rows))
    this.element.replaceChildren(...parts, ...this.more.values())
    this.spread(null)
  }

  table(head, rows) {
    const heads = [head, "At the middles", "Range of the draws"].map(one => make("th", { scope: "col" }, one))
    return make("table", { class: "wl-table wl-cards" }, make("thead", {}, make("tr", {}, ...heads)), make("tbody", {}, ...rows))
  }

  /* Puts in the ranges of the draws, or dashes. */
  spread(summed) {
    for (const [name, span] of this.spans) span.textContent = summed?.outputs[name] ?? "–"
    this.held.forEach((cell, index) => { cell.textContent = summed?.criteria[index] ?? "–" })
  }

  addMore(name, found) {
    const { label } = this.labels.get(name)
    const place = this.more.get(name)
    place.append(make("h3", {}, `${label}, at the middles`))
    if (found.svg !== undefined) {
      const legend = found.legend.map(([words, sample]) => make("li", {}, drawn(sample), ` ${words}`))
      place.append(make("div", { class: "wl-figure" }, drawn(found.svg), legend.length ? make("ul", { class: "wl-legend" }, ...legend) : ""))
      return
    }
    const heads = [...new Set(found.rows.flatMap(row => Object.keys(row)))].filter(head => !found.of_draws.includes(head))
    const rows = found.rows.map((row, index) => {
      const texts = new Map(Object.keys(row).map((key, at) => [key, found.cells[index][at]]))
      return make("tr", {}, ...heads.map(head => make("td", { "data-label": head.replaceAll("_", " ") }, texts.get(head) ?? "")))
    })
    const table = make("table", { class: "wl-table wl-cards" }, make("thead", {}, make("tr", {}, ...heads.map(head => make("th", { scope: "col" }, head.replaceAll("_", " "))))), make("tbody", {}, ...rows))
    place.append(make("div", { class: "wl-scroll", tabindex: "0", role: "group", "aria-label": `${label}; arrow keys move a table wider than its place` }, table))
  }
}
