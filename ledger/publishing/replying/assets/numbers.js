/* Numbers that the reader set otherwise in live calculators: of this page, and of pages looked at before it.

   The live section tells of them by the event `witness-numbers`; what differs from the ledger's own is kept for the
   visit, by calculation, as lines that a reply carries. A cell of a table is named `layout-2-length`, by row and column;
   where rows came or went, all cells are told. */
const SHELF = "witness-numbers"

function changedNumbers(declared, own, now) {
  const made = {}
  for (const one of declared) {
    const { name } = one
    if (one.kind === "rows") Object.assign(made, changedRows(one, own[name] || [], now[name] || []))
    else if (told(one, own[name]) !== told(one, now[name])) made[name] = told(one, now[name])
  }
  return made
}

function changedRows(declared, own, now) {
  const same = own.length === now.length
  const made = {}
  let differs = !same
  now.forEach((row, at) => {
    for (const column of declared.columns) {
      const text = told(column, row[column.name])
      const changed = !same || told(column, own[at][column.name]) !== text
      differs ||= changed
      if (changed) made[`${declared.name}-${at + 1}-${column.name}`] = text
    }
  })
  return differs && !now.length ? { [declared.name]: "no rows" } : made
}

/* A value as a line; what is left out stands at the calculator's default, if it has one. */
function told(declared, value) {
  const given = value ?? declared.default
  if (given === null || given === undefined) return "left empty"
  if (typeof given === "boolean") return given ? "yes" : "no"
  return String(given).trim()
}

class Numbers {
  constructor() {
    this.changed = () => {}
    this.all = this.kept()
    document.addEventListener("witness-numbers", event => {
      this.take(event.target, event.detail.state)
      this.changed()
    })
  }

  take(section, state) {
    if (!state.page.startsWith("calculations/")) return
    const ref = state.page.replace(/-$/, "")
    const { inputs: declared } = globalThis.witnessLive.calculators[state.calculator].declaration
    const inputs = changedNumbers(declared, JSON.parse(section.dataset.live).inputs, state.inputs)
    const title = document.querySelector("h1")?.firstChild?.textContent.trim() || ref
    if (Object.keys(inputs).length) this.all[ref] = { title, inputs }
    else delete this.all[ref]
    try {
      sessionStorage.setItem(SHELF, JSON.stringify(this.all))
    } catch { /* The browser keeps nothing: then numbers stay on their own page. */ }
  }

  kept() {
    try {
      const read = JSON.parse(sessionStorage.getItem(SHELF) || "{}")
      const sound = one => typeof one?.title === "string" && typeof one.inputs === "object" && one.inputs !== null
        && Object.values(one.inputs).every(value => typeof value === "string")
      return Object.fromEntries(Object.entries(read).filter(([ref, one]) => ref.startsWith("calculations/") && sound(one)))
    } catch {
      return {}
    }
  }
}
