/* A reader's numbers as one JSON object, and the same in the address behind the sign #.

   {"version": 1, "calculator": "dog-teeth", "page": "calculations/dogs-of-a-gear", "inputs": {…}}
   An input is a text in the ledger's notation, true or false, or a list of rows, each an object of such by column.
   Inputs left out stand at the calculator's default. Everything read is held against the declaration; nothing is run. */
const PREFIX = "#numbers="
const LONGEST_TEXT = 2000
const MOST_ROWS = 200

function encoded(state) {
  const bytes = new TextEncoder().encode(JSON.stringify([state.version, state.calculator, state.inputs]))
  let binary = ""
  for (const byte of bytes) binary += String.fromCharCode(byte)
  return PREFIX + btoa(binary).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "")
}

/* Returns the inputs an address carries, or null where it carries none; throws an Error that says what is wrong. */
function decoded(hash, data, declaration) {
  if (!hash.startsWith(PREFIX)) return null
  let version, calculator, inputs
  try {
    const binary = atob(hash.slice(PREFIX.length).replaceAll("-", "+").replaceAll("_", "/"))
    const text = new TextDecoder("utf-8", { fatal: true }).decode(Uint8Array.from(binary, sign => sign.charCodeAt(0)))
    ;[version, calculator, inputs] = JSON.parse(text)
  } catch {
    throw new Error("The numbers in this link could not be read: it is cut off or was changed.")
  }
  if (version !== data.version) throw new Error("The numbers in this link were written by another version of this form and could not be read.")
  if (calculator !== data.calculator) {
    const named = /^[a-z0-9-]{1,60}$/.test(calculator) ? `, ${calculator}, and not to ${data.calculator}` : ""
    throw new Error(`The numbers in this link belong to another calculator${named}.`)
  }
  return checked(inputs, declaration)
}

function checked(inputs, declaration) {
  if (!plain(inputs)) throw new Error("The numbers in this link could not be read: it carries no inputs.")
  const made = {}
  for (const [name, given] of Object.entries(inputs)) {
    const declared = declaration.inputs.find(one => one.name === name)
    if (!declared) throw new Error(`The numbers in this link could not be read: it names an input this calculator has not, ${name.slice(0, 40)}.`)
    if (declared.kind !== "rows") {
      made[name] = single(given, declared)
      continue
    }
    if (!Array.isArray(given) || given.length > MOST_ROWS || !given.every(plain)) throw new Error(`The numbers in this link could not be read: it carries no table for “${declared.label}”.`)
    made[name] = given.map(row => Object.fromEntries(Object.entries(row).map(([key, cell]) => {
      const column = declared.columns.find(one => one.name === key)
      if (!column) throw new Error(`The numbers in this link could not be read: it names a column that “${declared.label}” has not.`)
      return [key, single(cell, column)]
    })))
  }
  return made
}

function plain(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value)
}

function single(given, declared) {
  const fits = declared.kind === "truth" ? typeof given === "boolean"
    : declared.kind === "choice" ? declared.options.includes(given)
    : typeof given === "string" && given.length <= LONGEST_TEXT
  if (!fits) throw new Error(`The numbers in this link could not be read: its value for “${declared.label}” is of another kind.`)
  return given
}
