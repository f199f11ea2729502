/* A reply document held against the rules of version 1, with the same words as the intake has for what it refuses. */
const LONGEST = 20000, LONGEST_NAME = 80, LONGEST_LINE = 200, LONGEST_REF = 120
const MOST_RIVALS = 50, MOST_CALCULATIONS = 20, MOST_INPUTS = 60
const SHOWN = 60
const STANCES = ["agree", "doubt", "new-evidence", "another-hypothesis", "correction"]
const NO_TEXT = /[\x00-\x08\x0B\x0C\x0E-\x1F\x7F-\x9F]/u
const NO_LINE = /[\x00-\x1F\x7F-\x9F\u061C\u200E\u200F\u2028-\u202E\u2066-\u2069]/u
const INK = /[^\x00-\x20\x7F-\xA0\u061C\u200E\u200F\u2028-\u202E\u2066-\u2069]/u
const NAME = "[a-z0-9]+(?:-[a-z0-9]+)*"
const FOLDER = "investigation|sources|precedents|evidence|measurements|questions|hypotheses|calculations|decisions|lookouts|replies"
const WORDS = {
  uuid: [/^[0-9a-f]{8}-[0-9a-f]{4}-[1-8][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/, "a UUID in small letters", "Let `crypto.randomUUID()` make it."],
  about: [new RegExp(`^(?:${FOLDER})/${NAME}$`), "an entry, such as `evidence/sleeve-groove`", "Name what the reply is about by folder and name."],
  rival: [new RegExp(`^(?:hypotheses/${NAME}|none-of-these)$`), "`hypotheses/name` or `none-of-these`", "Name a rival of the question."],
  calculation: [new RegExp(`^calculations/${NAME}$`), "`calculations/name`", "Name a calculation of the site."],
  input: [/^[a-z0-9]+(?:[-_][a-z0-9]+)*$/, "the name of an input", "Write it as the calculator does: `track_radius`."],
  text: [{ test: text => !NO_TEXT.test(text) && INK.test(text) }, "words, without control characters", "Take signs out that cannot be seen."],
  line: [{ test: text => !NO_LINE.test(text) && INK.test(text) }, "one line of words", "Take out line breaks and signs that cannot be seen."],
}

/* Returns everything that is wrong: field, given, expected, remedy. */
function wrongsOf(reply) {
  const found = []
  const wrong = (field, value, expected, remedy) => found.push({ field: field.map(short).join("."), given: given(value), expected, remedy })
  const text = (field, value, kind, longest = Infinity) => {
    const [pattern, expected, remedy] = WORDS[kind]
    const signs = [...value].length
    if (/\p{Surrogate}/u.test(value)) wrong(field, value, "text", "Take out half surrogates: they are no signs.")
    else if (signs > longest) wrong(field, value, `at most ${longest.toLocaleString("en-US")} characters`, `Shorten it by ${(signs - longest).toLocaleString("en-US")}.`)
    else if (!signs && longest < Infinity) wrong(field, value, "some words", "Write something.")
    else if (!pattern.test(value)) wrong(field, value, expected, remedy)
  }
  text(["id"], reply.id, "uuid")
  text(["about"], reply.about, "about", LONGEST_REF)
  if (!STANCES.includes(reply.stance)) wrong(["stance"], reply.stance, "'agree', 'doubt', 'new-evidence', 'another-hypothesis' or 'correction'", "Choose one of them.")
  text(["text"], reply.text, "text", LONGEST)
  const rivals = Object.entries(reply.confidences)
  if (rivals.length > MOST_RIVALS) wrong(["confidences"], reply.confidences, `at most ${MOST_RIVALS}`, "Take some out.")
  else for (const [rival, share] of rivals) {
    text(["confidences", rival], rival, "rival", LONGEST_REF)
    if (!(share >= 0)) wrong(["confidences", rival], share, "at least 0", "Change the number.")
    else if (!(share <= 1)) wrong(["confidences", rival], share, "at most 1", "Change the number.")
  }
  const calculations = Object.entries(reply.inputs)
  if (calculations.length > MOST_CALCULATIONS) wrong(["inputs"], reply.inputs, `at most ${MOST_CALCULATIONS}`, "Take some out.")
  else for (const [calculation, changed] of calculations) {
    text(["inputs", calculation], calculation, "calculation", LONGEST_REF)
    const lines = Object.entries(changed)
    if (lines.length > MOST_INPUTS) wrong(["inputs", calculation], changed, `at most ${MOST_INPUTS}`, "Take some out.")
    else for (const [name, line] of lines) {
      text(["inputs", calculation, name], name, "input", LONGEST_NAME)
      text(["inputs", calculation, name], line, "line", LONGEST_LINE)
    }
  }
  if (reply.name !== null) text(["name"], reply.name, "line", LONGEST_NAME)
  if (reply.contact !== null) text(["contact"], reply.contact, "line", LONGEST_LINE)
  return found
}

/* What was given, short, and so that no sign in it can do anything. */
function given(value) {
  if (value === null || value === undefined) return "None"
  if (value === "") return "an empty text"
  if (typeof value === "object") return `an object of ${Object.keys(value).length}`
  return short(String(value))
}

function short(text) {
  const signs = [...visible([...text].slice(0, SHOWN + 1).join(""))]
  return signs.length > SHOWN ? `${signs.slice(0, SHOWN).join("")}…` : signs.join("")
}

/* Signs that steer instead of being seen stand as their numbers; joiners are part of words in some scripts. */
function visible(text) {
  return [...text].map(sign => {
    if (sign === " " || sign === "\u200c" || sign === "\u200d" || !/[\p{C}\p{Z}]/u.test(sign)) return sign
    const number = sign.codePointAt(0)
    const digits = number < 256 ? 2 : number < 65536 ? 4 : 8
    return `\\${{ 2: "x", 4: "u", 8: "U" }[digits]}${number.toString(16).padStart(digits, "0")}`
  }).join("")
}
