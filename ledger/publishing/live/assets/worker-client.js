/* The page's end of the worker: one question at a time, and an end to one that takes too long. */
class Desk {
  constructor(held, units) {
    this.held = held
    this.told = { name: held.declaration.name, units, factors: held.declaration.factors }
    this.count = 0
    this.waiting = new Map()
  }

  start() {
    this.address ||= URL.createObjectURL(new Blob([globalThis.witnessLive.engine], { type: "text/javascript" }))
    this.worker = new Worker(this.address)
    this.worker.addEventListener("message", ({ data }) => this.answered(data))
    this.worker.addEventListener("error", event => this.broken(event.message || "the worker did not start"))
    const { module, modules } = this.held
    this.worker.postMessage({ open: { count: (this.count += 1), module, modules, told: JSON.stringify(this.told) } })
  }

  /* Returns the answer as an object, with how long it took, the start of the worker not counted [ms]. */
  ask(operation, asked) {
    if (!this.worker) this.start()
    const id = (this.count += 1)
    return new Promise((done, failed) => {
      this.waiting.set(id, { done, failed })
      this.worker.postMessage({ id, name: this.told.name, operation, text: JSON.stringify(asked) })
    })
  }

  get busy() {
    return this.waiting.size > 0
  }

  /* Ends what is going on; the next question starts a worker anew. */
  end() {
    if (this.worker) this.worker.terminate()
    this.worker = null
    for (const { failed } of this.waiting.values()) failed(new Ended("stopped"))
    this.waiting.clear()
  }

  answered(data) {
    if (data.id === undefined) {
      this.broken(data.failed)
      return
    }
    const { done, failed } = this.waiting.get(data.id) || {}
    this.waiting.delete(data.id)
    if (!done) return
    if (data.failed === undefined) done({ ...JSON.parse(data.text), took: data.took })
    else failed(new Error(data.failed))
  }

  broken(why) {
    for (const { failed } of this.waiting.values()) failed(new Error(why))
    this.waiting.clear()
    if (this.worker) this.worker.terminate()
    this.worker = null
  }
}

class Ended extends Error {}
