/* The worker: Brython, and one calculator after another. It is told {open} once for each, then asked {id, name, operation, text}. */
;(() => {
  const brython = self.__BRYTHON__
  brython.use_VFS = true
  brython.update_VFS(self.witnessCommon)
  brython.parse_options({ debug: 0, indexedDB: false })
  const python = {}
  self.witnessDesk = (name, given) => { python[name] = given }

  function ready(open) {
    for (const [name, module] of Object.entries(JSON.parse(open.modules))) {
      if (!(name in brython.VFS)) brython.update_VFS({ [name]: module })
    }
    self.witnessOpened = open
    brython.runPythonSource(
      `import javascript\nimport ${open.module} as declared\nfrom ledger.publishing.live.browser import desk\n` +
      "from browser import self as worker\n" +
      "opened = worker.witnessOpened\n" +
      "said = javascript.JSON.parse(opened.told)\n" +
      "desk.open_desk(declared, said['name'], said['units'], said['factors'])\n" +
      "worker.witnessDesk('answer', lambda name, operation, text: desk.answer(name, operation, javascript.JSON.parse(text)))\n",
      `open_${open.count}`,
    )
  }

  self.onmessage = ({ data }) => {
    if (data.open) {
      try {
        ready(data.open)
      } catch (error) {
        self.postMessage({ failed: String(error.args || error) })
      }
      return
    }
    let text
    const begun = performance.now()
    try {
      text = python.answer(data.name, data.operation, data.text)
    } catch (error) {
      self.postMessage({ id: data.id, failed: String(error.args || error) })
      return
    }
    self.postMessage({ id: data.id, text, took: performance.now() - begun })
  }
})()
