/* What is folded is printed open, opened when a link leads into it, and all at once where there is much of it. A long
   table is printed only where the reader had opened its fold. */
(() => {
  const MANY = 4
  let opened = []

  addEventListener("beforeprint", () => {
    opened = [...document.querySelectorAll("details:not([open])")]
    for (const one of opened) one.open = true
  })
  addEventListener("afterprint", () => {
    for (const one of opened) one.open = false
    opened = []
  })

  function read(fold, open) {
    fold.open = open
    fold.classList.toggle("wl-read", open)
  }
  addEventListener("click", event => {
    const fold = event.target instanceof Element && event.target.closest("summary")?.closest("details")
    if (fold) fold.classList.toggle("wl-read", !fold.open)
  })

  /* A heading over a single fold leads into that fold. */
  function under(heading) {
    const block = /^H[1-6]$/.test(heading.tagName) ? heading.nextElementSibling : null
    const first = block && block.matches(".wl") ? block.firstElementChild : null
    return first && first.matches("details") && !first.nextElementSibling?.matches("details") ? first : null
  }

  function reveal() {
    const named = location.hash.length > 1 ? document.getElementById(decodeURIComponent(location.hash.slice(1))) : null
    if (!named) return
    let folded = false
    for (let one = under(named) || named.closest("details"); one; one = one.parentElement.closest("details")) {
      folded ||= !one.open
      read(one, true)
    }
    if (folded) named.scrollIntoView()
  }

  function offer() {
    const article = document.querySelector("article")
    const folds = article ? [...article.querySelectorAll("details")] : []
    const head = article && article.querySelector("h1")
    const drawn = one => ![".wl-narrow", ".wl-wide"].some(kind => one.closest(kind) && getComputedStyle(one.closest(kind)).display === "none")
    if (!head || folds.filter(drawn).length <= MANY) return
    const button = document.createElement("button")
    button.type = "button"
    button.className = "wl-folds"
    const closed = () => folds.some(one => !one.open)
    const name = () => { button.textContent = closed() ? "Open all folds" : "Close all folds" }
    button.addEventListener("click", () => {
      const open = closed()
      for (const one of folds) read(one, open)
      name()
    })
    for (const one of folds) one.addEventListener("toggle", name)
    name()
    const crumbs = article.querySelector("h1 + .wl > .wl-crumbs")
    if (crumbs) crumbs.append(button)
    else head.after(button)
  }

  function start() {
    offer()
    reveal()
  }
  addEventListener("hashchange", reveal)
  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", start)
  else start()
})()
