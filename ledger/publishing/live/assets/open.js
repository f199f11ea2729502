/* Loads the live form when its button is pressed, or at once where the address carries a reader's numbers. */
(() => {
  const section = document.querySelector(".wl-live")
  const button = section && section.querySelector(".wl-live-open")
  if (!button) return
  const data = JSON.parse(section.dataset.live)
  let opened = false

  function load(address) {
    return new Promise((done, failed) => {
      const script = document.createElement("script")
      script.src = address
      script.addEventListener("load", done)
      script.addEventListener("error", () => failed(new Error(address)))
      document.head.append(script)
    })
  }

  async function open() {
    if (opened) return
    opened = true
    button.disabled = true
    button.textContent = "Opening…"
    try {
      await Promise.all(data.scripts.map(load))
    } catch (error) {
      opened = false
      button.disabled = false
      button.textContent = "Try other numbers"
      const said = document.createElement("p")
      said.setAttribute("role", "alert")
      said.textContent = "The scripts of this section could not be loaded. Is the site complete?"
      section.append(said)
      return
    }
    const place = document.createElement("div")
    place.className = "wl-live-form"
    button.replaceWith(place)
    globalThis.witnessLive.open(section, place, data)
  }

  button.hidden = false
  button.addEventListener("click", open)
  const carries = () => location.hash.startsWith("#numbers=")
  if (carries()) open()
  addEventListener("hashchange", () => { if (carries()) open() })
})()
