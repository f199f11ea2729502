/* A drawing made by our own worker, with its text escaped there; parsed as SVG, so that nothing in it can run. */
function drawn(svg) {
  const read = new DOMParser().parseFromString(svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" '), "image/svg+xml").documentElement
  return read.localName === "svg" ? document.importNode(read, true) : document.createTextNode("")
}
