/* Elements with attributes, listeners and children; text is always text. */
function make(tag, attributes = {}, ...children) {
  const made = document.createElement(tag)
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value)
    else if (value === true) made.setAttribute(name, "")
    else if (value !== false && value !== null && value !== undefined) made.setAttribute(name, value)
  }
  made.append(...children.filter(one => one !== null && one !== undefined && one !== ""))
  return made
}

/* A drawing made by our own worker, with its text escaped there; parsed as SVG, so that nothing in it can run. */
function drawn(svg) {
  const read = new DOMParser().parseFromString(svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" '), "image/svg+xml").documentElement
  return read.localName === "svg" ? document.importNode(read, true) : document.createTextNode("")
}
