/* A page opened by double click may not start a worker. There, and only there, a hidden frame does a worker's work. */
(() => {
  if (location.protocol !== "file:") return

  class FramedWorker extends EventTarget {
    constructor(address) {
      super()
      this.waiting = []
      this.frame = document.createElement("iframe")
      this.frame.hidden = true
      this.frame.title = "Search"
      const script = new URL(address, location).href.replaceAll("&", "&amp;").replaceAll('"', "&quot;")
      this.frame.srcdoc = `<!doctype html><title>Search</title><script>parent.FramedWorkerReady(window)</script><script src="${script}"></script>`
      window.FramedWorkerReady = inside => this.prepare(inside)
      this.frame.addEventListener("load", () => this.start())
      document.body.append(this.frame)
    }

    prepare(inside) {
      inside.postMessage = data => this.dispatchEvent(new MessageEvent("message", { data }))
      inside.importScripts = (...addresses) => addresses.reduce((before, address) => before.then(() => load(inside, address)), Promise.resolve())
    }

    start() {
      const held = this.waiting
      this.waiting = null
      for (const data of held) this.postMessage(data)
    }

    postMessage(data) {
      if (this.waiting) this.waiting.push(data)
      else this.frame.contentWindow.dispatchEvent(new MessageEvent("message", { data }))
    }

    terminate() {
      this.frame.remove()
    }
  }

  function load(inside, address) {
    return new Promise((done, failed) => {
      const script = inside.document.createElement("script")
      script.src = address
      script.onload = done
      script.onerror = failed
      inside.document.body.append(script)
    })
  }

  // A worker made of a text, as the live numbers have one, may start here too and does its work beside the page.
  const Beside = window.Worker
  window.Worker = function (address, options) {
    return String(address).startsWith("blob:") ? new Beside(address, options) : new FramedWorker(address)
  }
  window.IFrameWorker = FramedWorker
})()
