/* Sending to the intake: a challenge, the work for it, the reply. What is refused comes back in the intake's words. */
const PATIENCE = 30000 // ms for one answer

class NotTaken extends Error {
  constructor(words, status = 0, faults = []) {
    super(words)
    this.status = status
    this.faults = faults
  }
}

/* Resolves to {id, received}. Throws NotTaken with words, or Stopped. */
async function sendReply(intake, reply, told, signal) {
  try {
    return await sendOnce(intake, reply, told, signal)
  } catch (error) {
    // A challenge grows old while a page sleeps; a new one is asked for once.
    if (!(error instanceof NotTaken) || error.status !== 403 || !/proof of work/.test(error.message)) throw error
    return sendOnce(intake, reply, told, signal)
  }
}

async function sendOnce(intake, reply, told, signal) {
  told("Asking the intake…", null)
  const { challenge, bits } = await answered(`${intake}/challenge?id=${reply.id}`, {}, signal)
  if (typeof challenge !== "string" || challenge.length > 200) throw new NotTaken("What answers there is no intake of this kind.")
  const working = share => told("Computing a small piece of work, which keeps programs from flooding the intake…", share)
  working(0)
  let nonce
  try {
    nonce = await prove(challenge, bits, working, signal)
  } catch (error) {
    if (error instanceof Stopped) throw error
    throw new NotTaken(`The work could not be done: ${error.message}.`)
  }
  told("Sending…", null)
  const body = JSON.stringify({ reply, challenge, nonce, homepage: "" })
  const taken = await answered(`${intake}/replies`, { method: "POST", headers: { "Content-Type": "application/json" }, body }, signal)
  if (taken.id !== reply.id) throw new NotTaken("The intake answered for another reply.")
  return taken
}

async function answered(address, asked, signal) {
  const late = new AbortController()
  const stop = () => late.abort()
  signal.addEventListener("abort", stop)
  const timer = setTimeout(stop, PATIENCE)
  try {
    const response = await fetch(address, { ...asked, mode: "cors", credentials: "omit", redirect: "error", referrerPolicy: "no-referrer", cache: "no-store", signal: late.signal })
    let said
    try {
      said = await response.json()
    } catch {
      throw new NotTaken(`The intake answered with ${response.status} and no words.`, response.status)
    }
    if (!response.ok) {
      const words = typeof said?.error === "string" ? said.error : `It answered with ${response.status}.`
      const after = response.headers.get("Retry-After")
      const wait = /^[0-9]{1,6}$/.test(after || "") && response.status !== 429 ? ` Try again in ${after} s.` : ""
      throw new NotTaken(words + wait, response.status, Array.isArray(said?.faults) ? said.faults : [])
    }
    if (typeof said !== "object" || said === null) throw new NotTaken("What answers there is no intake of this kind.")
    return said
  } catch (error) {
    if (error instanceof NotTaken) throw error
    if (signal.aborted) throw new Stopped()
    throw new NotTaken(late.signal.aborted ? "The intake did not answer in time." : "The intake cannot be reached from here.")
  } finally {
    clearTimeout(timer)
    signal.removeEventListener("abort", stop)
  }
}
