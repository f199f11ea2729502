/* A table wider than its place can be reached and moved by keyboard, and only then is it a stop on the way. */
(() => {
  function measure(place) {
    const wide = place.scrollWidth > place.clientWidth
    if (wide === place.hasAttribute("tabindex")) return
    if (wide) {
      place.tabIndex = 0
      place.setAttribute("role", "group")
      place.setAttribute("aria-label", "A table wider than its place; arrow keys move it")
    } else for (const one of ["tabindex", "role", "aria-label"]) place.removeAttribute(one)
  }

  function start() {
    const seen = new ResizeObserver(entries => entries.forEach(one => measure(one.target)))
    for (const place of document.querySelectorAll(".wl-scroll")) seen.observe(place)
  }
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", start)
  else start()
})()
