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
