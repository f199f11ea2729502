let elementCount = 0

function newId() {
  return `wl-reply-${(elementCount += 1)}`
}

/* A place for what is wrong with a field; what it describes names it. */
function faultPlace(...controls) {
  const id = newId()
  for (const one of controls) one.setAttribute("aria-describedby", [one.getAttribute("aria-describedby"), id].filter(Boolean).join(" "))
  return make("p", { class: "wl-reply-fault", id, hidden: true })
}
