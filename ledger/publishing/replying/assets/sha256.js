/* SHA-256 (FIPS 180-4), for browsers give their own only to pages from a safe server. Constants are the first 32 bits
   of the fractional parts of square and cube roots of the first primes. */
const PRIMES = []
for (let number = 2; PRIMES.length < 64; number += 1) if (PRIMES.every(prime => number % prime)) PRIMES.push(number)
const fraction = root => Math.floor((root - Math.floor(root)) * 2 ** 32) | 0
const START = Int32Array.from(PRIMES.slice(0, 8), prime => fraction(Math.sqrt(prime)))
const ROUND = Int32Array.from(PRIMES, prime => fraction(Math.cbrt(prime)))
const schedule = new Int32Array(64)

function turned(word, bits) {
  return (word >>> bits) | (word << (32 - bits))
}

/* Takes 64 bytes into a state of eight words. */
function compress(state, bytes, at) {
  for (let i = 0; i < 16; i += 1) {
    const from = at + 4 * i
    schedule[i] = (bytes[from] << 24) | (bytes[from + 1] << 16) | (bytes[from + 2] << 8) | bytes[from + 3]
  }
  for (let i = 16; i < 64; i += 1) {
    const near = schedule[i - 15], far = schedule[i - 2]
    schedule[i] = (schedule[i - 16] + schedule[i - 7] + (turned(near, 7) ^ turned(near, 18) ^ (near >>> 3))
      + (turned(far, 17) ^ turned(far, 19) ^ (far >>> 10))) | 0
  }
  let [a, b, c, d, e, f, g, h] = state
  for (let i = 0; i < 64; i += 1) {
    const one = (h + (turned(e, 6) ^ turned(e, 11) ^ turned(e, 25)) + ((e & f) ^ (~e & g)) + ROUND[i] + schedule[i]) | 0
    const two = ((turned(a, 2) ^ turned(a, 13) ^ turned(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0
    h = g; g = f; f = e; e = (d + one) | 0; d = c; c = b; b = a; a = (one + two) | 0
  }
  state[0] += a; state[1] += b; state[2] += c; state[3] += d; state[4] += e; state[5] += f; state[6] += g; state[7] += h
}

/* A text's beginning, taken in once, to which many endings are tried. */
class Begun {
  constructor(text) {
    const bytes = new TextEncoder().encode(text)
    this.whole = bytes.length - (bytes.length % 64)
    this.state = START.slice()
    for (let at = 0; at < this.whole; at += 64) compress(this.state, bytes, at)
    this.rest = bytes.subarray(this.whole)
    this.block = new Uint8Array(0)
  }

  /* Returns the digest, eight words, of the beginning with an ending of ASCII signs. */
  ended(ending) {
    const kept = this.rest.length, length = kept + ending.length
    const size = 64 * Math.ceil((length + 9) / 64)
    if (this.block.length !== size) this.block = new Uint8Array(size)
    else this.block.fill(0)
    const { block } = this
    block.set(this.rest)
    for (let i = 0; i < ending.length; i += 1) block[kept + i] = ending.charCodeAt(i)
    block[length] = 0x80
    const bits = (this.whole + length) * 8
    for (let i = 0; i < 4; i += 1) block[size - 1 - i] = bits >>> (8 * i)
    const state = this.state.slice()
    for (let at = 0; at < size; at += 64) compress(state, block, at)
    return state
  }
}

function sha256(text) {
  return Array.from(new Begun(text).ended(""), word => (word >>> 0).toString(16).padStart(8, "0")).join("")
}
