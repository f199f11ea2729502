/* Elements with attributes, listeners and children; text is always text, whatever stands in it. */
function make(tag, attributes = {}, ...children) {
  const made = document.createElement(tag)
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value)
    else if (value === true) made.setAttribute(name, "")
    else if (value !== false && value !== null && value !== undefined) made.setAttribute(name, value)
  }
  made.append(...children.flat().filter(one => one !== null && one !== undefined && one !== ""))
  return made
}

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
