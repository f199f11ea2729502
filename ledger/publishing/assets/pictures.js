/* Marks on a picture turned off and on, one by one or together, and the picture made larger. Without scripts all marks show. */
(() => {
  const STEPS = [1, 1.5, 2, 3, 4]

  function button(words, act) {
    const made = document.createElement("button")
    made.type = "button"
    made.textContent = words
    made.addEventListener("click", act)
    return made
  }

  function switches(figure) {
    const groups = [...figure.querySelectorAll(".wl-marks [data-mark]")]
    const boxes = []
    for (const line of figure.querySelectorAll(".wl-legend [data-mark]")) {
      const group = groups.find(one => one.dataset.mark === line.dataset.mark)
      if (!group) continue
      const box = document.createElement("input")
      const label = document.createElement("label")
      box.type = "checkbox"
      box.checked = true
      const told = line.querySelector("small")
      label.append(box, ...[...line.childNodes].filter(one => one !== told))
      line.prepend(label)
      box.addEventListener("change", () => group.toggleAttribute("hidden", !box.checked))
      const light = lit => () => group.classList.toggle("wl-lit", lit)
      for (const [event, lit] of [["mouseenter", true], ["mouseleave", false], ["focusin", true], ["focusout", false]]) line.addEventListener(event, light(lit))
      boxes.push(box)
    }
    return boxes
  }

  function lively(figure) {
    const tools = figure.querySelector(".wl-tools") || document.createElement("p")
    tools.className = "wl-tools"
    const picture = figure.querySelector(".wl-picture")
    const view = figure.querySelector(".wl-window")
    const boxes = switches(figure)
    const made = []
    if (boxes.length > 1) {
      const all = button("Hide all marks", () => {
        const shown = boxes.some(one => one.checked)
        for (const one of boxes) if (one.checked === shown) one.click()
        all.textContent = shown ? "Show all marks" : "Hide all marks"
      })
      made.push(all)
    }
    let step = 0
    const show = to => {
      const across = (view.scrollLeft + view.clientWidth / 2) / view.scrollWidth
      const down = (view.scrollTop + view.clientHeight / 2) / view.scrollHeight
      step = Math.min(Math.max(to, 0), STEPS.length - 1)
      picture.style.width = `${100 * STEPS[step]}%`
      figure.classList.toggle("wl-large-picture", step > 0)
      smaller.disabled = step === 0
      larger.disabled = step === STEPS.length - 1
      view.tabIndex = step > 0 ? 0 : -1
      view.scrollLeft = across * view.scrollWidth - view.clientWidth / 2
      view.scrollTop = down * view.scrollHeight - view.clientHeight / 2
    }
    const larger = button("Larger", () => show(step + 1))
    const smaller = button("Smaller", () => show(step - 1))
    view.setAttribute("role", "region")
    view.setAttribute("aria-label", "The picture; arrow keys move it when it is larger than its window")
    smaller.disabled = true
    view.tabIndex = -1
    tools.prepend(larger, smaller, ...made)
    if (!tools.isConnected) view.after(tools)
  }

  const start = () => { for (const figure of document.querySelectorAll(".wl-shot")) lively(figure) }
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", start)
  else start()
})()
