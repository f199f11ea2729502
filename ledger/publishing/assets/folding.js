/* What is folded is printed open, and opened when a link leads into it. */
(() => {
  let opened = []

  addEventListener("beforeprint", () => {
    opened = [...document.querySelectorAll("details:not([open])")]
    for (const one of opened) one.open = true
  })
  addEventListener("afterprint", () => {
    for (const one of opened) one.open = false
    opened = []
  })

  function reveal() {
    const named = location.hash.length > 1 ? document.getElementById(decodeURIComponent(location.hash.slice(1))) : null
    if (!named) return
    let folded = false
    for (let one = named.closest("details"); one; one = one.parentElement.closest("details")) {
      folded ||= !one.open
      one.open = true
    }
    if (folded) named.scrollIntoView()
  }
  addEventListener("hashchange", reveal)
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", reveal)
  else reveal()
})()
