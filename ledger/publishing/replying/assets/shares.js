/* Confidences that sum to one: whole points of a hundred. Whoever moves one shares out the rest among the others that are
   not held, in the proportion in which they stood; how they stood is remembered while there is nothing to share. */
const WHOLE = 100
const TRACE = 1e-6

class Shares {
  constructor(count) {
    this.stood = Array(count).fill(WHOLE / count)
    this.held = Array(count).fill(false)
    this.points = divided(this.stood, WHOLE)
  }

  /* Moves one to so many points, or as far as those that are held let it. */
  move(which, wanted) {
    const others = this.points.map((_, i) => i).filter(i => i !== which && !this.held[i])
    if (!others.length) return
    const fixed = this.points.reduce((sum, value, i) => (i !== which && this.held[i] ? sum + value : sum), 0)
    const value = Math.min(Math.max(Math.round(wanted), 0), WHOLE - fixed)
    const rest = WHOLE - fixed - value
    const before = others.reduce((sum, i) => sum + this.stood[i], 0)
    for (const i of others) this.stood[i] = Math.max((before > 0 ? this.stood[i] / before : 1 / others.length) * rest, TRACE * this.stood[i] / (before || 1))
    this.stood[which] = value
    const parts = divided(others.map(i => this.stood[i]), rest)
    others.forEach((i, at) => { this.points[i] = parts[at] })
    this.points[which] = value
  }

  /* Puts points back in; returns whether they were points that sum to a hundred. */
  restore(points) {
    const sound = Array.isArray(points) && points.length === this.points.length
      && points.every(one => Number.isInteger(one) && one >= 0) && points.reduce((sum, one) => sum + one, 0) === WHOLE
    if (sound) {
      this.points = [...points]
      this.stood = [...points]
    }
    return sound
  }
}

/* Whole numbers in the proportion of weights, of a given sum: what is over goes to the largest remainders. */
function divided(weights, sum) {
  const all = weights.reduce((total, one) => total + one, 0)
  const exact = weights.map(one => (all > 0 ? one / all : 1 / weights.length) * sum)
  const whole = exact.map(one => Math.floor(one + 1e-9))
  const order = exact.map((one, i) => [one - whole[i], i]).sort((a, b) => b[0] - a[0] || a[1] - b[1])
  const over = sum - whole.reduce((total, one) => total + one, 0)
  for (let i = 0; i < over; i += 1) whole[order[i][1]] += 1
  return whole
}
