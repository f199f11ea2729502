/* Cells as wide as what they hold; a table that would then be wider than its place has its cells below one another. */
const LEAST_WIDE = 9

function widen({ kind, options }, input) {
  const texts = kind === "choice" ? options : [input.value, input.placeholder ?? ""]
  const room = input.localName === "select" ? 3 : 1
  input.style.setProperty("--wl-held", `${Math.max(LEAST_WIDE, ...texts.map(one => one.length)) + room}ch`)
}

/* Keeps a fieldset's table within its place, whatever is typed and however wide the page is. */
function fitted(fieldset) {
  const place = fieldset.querySelector(".wl-live-rows")
  const fit = () => {
    fieldset.classList.remove("wl-live-stacked")
    fieldset.classList.toggle("wl-live-stacked", place.scrollWidth > place.clientWidth)
  }
  fieldset.addEventListener("input", fit)
  new ResizeObserver(fit).observe(fieldset)
  return fieldset
}
