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
      const parts = [group, ...figure.querySelectorAll(`.wl-marks [data-number="${line.dataset.mark}"]`)]
      const box = document.createElement("input")
      const label = document.createElement("label")
      box.type = "checkbox"
      box.checked = true
      const told = line.querySelector("small")
      label.append(box, ...[...line.childNodes].filter(one => one !== told))
      line.prepend(label)
      box.addEventListener("change", () => parts.forEach(one => one.toggleAttribute("hidden", !box.checked)))
      const light = lit => () => parts.forEach(one => one.classList.toggle("wl-lit", lit))
      for (const [event, lit] of [["mouseenter", true], ["mouseleave", false], ["focusin", true], ["focusout", false]]) line.addEventListener(event, light(lit))
      boxes.push(box)
    }
    return boxes
  }

  /* The middle, in shares of width and height, of as many marks from the first as the window shows together. */
  function middle(figure, picture, view) {
    const whole = picture.getBoundingClientRect()
    let all = null
    for (const group of figure.querySelectorAll(".wl-marks [data-mark]:not([hidden])")) {
      const one = group.getBoundingClientRect()
      if (!all) all = { left: one.left, top: one.top, right: one.right, bottom: one.bottom }
      const both = {
        left: Math.min(all.left, one.left),
        top: Math.min(all.top, one.top),
        right: Math.max(all.right, one.right),
        bottom: Math.max(all.bottom, one.bottom),
      }
      if (both.right - both.left > view.clientWidth || both.bottom - both.top > view.clientHeight) break
      all = both
    }
    if (!all) return null
    return {
      x: ((all.left + all.right) / 2 - whole.left) / whole.width,
      y: ((all.top + all.bottom) / 2 - whole.top) / whole.height,
    }
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
    let left = null
    // A control that is switched off would lose the focus of the keyboard: it only says that it does nothing.
    const stop = (control, off) => control.setAttribute("aria-disabled", String(off))
    const able = control => control.getAttribute("aria-disabled") !== "true"
    const show = to => {
      const moved = left !== null && Math.hypot(view.scrollLeft - left[0], view.scrollTop - left[1]) > 2
      const own = {
        x: (view.scrollLeft + view.clientWidth / 2) / view.scrollWidth,
        y: (view.scrollTop + view.clientHeight / 2) / view.scrollHeight,
      }
      step = Math.min(Math.max(to, 0), STEPS.length - 1)
      picture.style.width = `${100 * STEPS[step]}%`
      figure.classList.toggle("wl-large-picture", step > 0)
      stop(smaller, step === 0)
      stop(larger, step === STEPS.length - 1)
      view.tabIndex = step > 0 ? 0 : -1
      const at = moved ? own : middle(figure, picture, view) || own
      view.scrollLeft = at.x * view.scrollWidth - view.clientWidth / 2
      view.scrollTop = at.y * view.scrollHeight - view.clientHeight / 2
      // Whoever moves the picture by hand keeps the place, until it is small again.
      if (step === 0) left = null
      else if (!moved) left = [view.scrollLeft, view.scrollTop]
    }
    const larger = button("Larger", () => able(larger) && show(step + 1))
    const smaller = button("Smaller", () => able(smaller) && show(step - 1))
    view.setAttribute("role", "region")
    view.setAttribute("aria-label", "The picture; arrow keys move it when it is larger than its window")
    stop(smaller, true)
    stop(larger, false)
    view.tabIndex = -1
    tools.prepend(larger, smaller, ...made)
    if (!tools.isConnected) view.after(tools)
  }

  const start = () => { for (const figure of document.querySelectorAll(".wl-shot")) lively(figure) }
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", start)
  else start()
})()
