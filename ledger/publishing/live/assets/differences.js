/* What stands otherwise than in the ledger's calculation, and the words that say so. */
const NAMED = 5

/* A value as its field shows it; what is left out stands at the calculator's default, if it has one. */
function standing({ kind, options, default: usual }, value) {
  const given = value ?? usual ?? (kind === "choice" ? options[0] : kind === "truth" ? true : "")
  return typeof given === "boolean" ? (given ? "yes" : "no") : String(given).trim()
}

/* Says how many fields differ from the ledger's, and which the first of them are. */
function differences(labels) {
  const count = labels.length === 1 ? "One field differs" : `${labels.length} fields differ`
  const more = labels.length > NAMED ? `; and ${labels.length - NAMED} more` : ""
  return `These are not the ledger’s own numbers. ${count} from them: ${labels.slice(0, NAMED).join("; ")}${more}. Each says what stands in the ledger.`
}
