/* The work that an intake asks of a sender: a number for which sha256 of `challenge:number` begins with so many zero
   bits. Done in short slices, so that the page stays alive, and ended at once when it is asked to. */
const SLICE = 12 // ms
const MOST_BITS = 30

class Stopped extends Error {}

function zeroBits(words) {
  let count = 0
  for (const word of words) {
    const zeros = Math.clz32(word)
    count += zeros
    if (zeros < 32) break
  }
  return count
}

/* Lets the page do what waits: a message comes at once, where a timer of a page behind others waits for a second. */
function breath() {
  return new Promise(done => {
    const { port1, port2 } = new MessageChannel()
    port1.onmessage = () => { port1.close(); done() }
    port2.postMessage(null)
  })
}

/* Resolves to the number as a text; `told` hears the chance to have been done by now. Throws Stopped when `signal` says so. */
async function prove(challenge, bits, told, signal) {
  if (!Number.isInteger(bits) || bits < 0 || bits > MOST_BITS) throw new Error("the intake asks for more work than a page can do")
  const begun = new Begun(`${challenge}:`)
  let number = 0
  for (;;) {
    const until = performance.now() + SLICE
    do {
      for (let i = 0; i < 64; i += 1, number += 1) {
        const tried = String(number)
        if (zeroBits(begun.ended(tried)) >= bits) return tried
      }
    } while (performance.now() < until)
    told(1 - Math.exp(-number / 2 ** bits))
    await breath()
    if (signal.aborted) throw new Stopped()
  }
}
