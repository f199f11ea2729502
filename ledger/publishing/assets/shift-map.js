/* Moves the drawn mechanism from frame to frame as a reader turns it. Nothing plays unless its button is pressed. */
(() => {
  const map = document.querySelector(".wl-map")
  if (!map) return
  const { frames, ways, looks, travel, first } = JSON.parse(map.dataset.map)
  const calm = matchMedia("(prefers-reduced-motion: reduce)")
  const GLIDE = 320
  const PAUSE = 900

  const find = name => [...map.querySelectorAll(name)]
  const turns = find("[data-turn]").map(element => ({ element, share: Number(element.dataset.share), at: element.dataset.at }))
  const tracks = find("[data-track]")
  const gears = find("[data-gear]").map(element => ({ element, said: element.querySelector("[data-said]") }))
  const cursor = map.querySelector("[data-cursor]")
  const step = Number(cursor.dataset.step)
  const said = map.querySelector(".wl-map-said")
  const named = map.querySelector(".wl-map-named")
  const play = map.querySelector("[data-do=play]")
  const load = map.querySelector("select")
  const lever = map.querySelector("input")

  let direction = "up"
  let place = way().findIndex(one => frames[one].state === first)
  let shown = frames[way()[place]]
  let gliding = 0
  let playing = 0

  function way() {
    return ways[load ? `${load.value} ${direction}` : direction]
  }

  function pose(from, to, share) {
    const between = (one, other) => one + (other - one) * share
    turns.forEach(({ element, share: angle, at }, index) => {
      element.setAttribute("transform", `rotate(${-angle * (between(from.turns[index], to.turns[index]) - 1)} ${at})`)
    })
    tracks.forEach((element, index) => {
      element.setAttribute("transform", `translate(${travel * between(from.offsets[index], to.offsets[index])} 0)`)
    })
    cursor.setAttribute("transform", `translate(${10 + step * (between(from.at, to.at) - 0.5)} 0)`)
  }

  function show(frame) {
    const from = shown
    shown = frame
    for (const { element, said: words } of gears) {
      const { look, said: word } = looks[frame.gears[element.dataset.gear] || "free"]
      element.setAttribute("class", `wl-map-gear ${look}`)
      words.textContent = word
    }
    named.textContent = frame.name
    said.textContent = frame.told
    map.classList.toggle("wl-map-stuck", Object.values(frame.gears).includes("locks"))
    lever.value = frame.state || Math.floor(frame.at)
    lever.setAttribute("aria-valuetext", frame.name)
    cancelAnimationFrame(gliding)
    if (calm.matches) return pose(frame, frame, 1)
    const begun = performance.now()
    const glide = now => {
      const share = Math.min(1, Math.max(0, (now - begun) / GLIDE))
      pose(from, frame, share * share * (3 - 2 * share))
      if (share < 1) gliding = requestAnimationFrame(glide)
    }
    gliding = requestAnimationFrame(glide)
  }

  /* Goes on one frame upwards or downwards. Between two states the other direction takes back what was done. */
  function go(towards) {
    if (towards !== direction && frames[way()[place]].state) {
      const state = frames[way()[place]].state
      direction = towards
      place = way().findIndex(one => frames[one].state === state)
    }
    const next = place + (towards === direction ? 1 : -1)
    if (next < 0 || next >= way().length) return false
    place = next
    show(frames[way()[place]])
    return true
  }

  function at(state) {
    const near = way().map((one, index) => [Math.abs((frames[one].state || -99) - state), index])
    place = near.reduce((least, one) => (one[0] < least[0] ? one : least))[1]
    show(frames[way()[place]])
  }

  function stop() {
    clearInterval(playing)
    playing = 0
    play.textContent = "Play"
  }

  function start() {
    if (place === way().length - 1 || place === 0) {
      direction = "up"
      at(1)
    }
    play.textContent = "Stop"
    playing = setInterval(() => { if (!go("up")) stop() }, PAUSE)
  }

  const acts = {
    down: () => { stop(); go("down") },
    up: () => { stop(); go("up") },
    play: () => (playing ? stop() : start()),
  }
  const keys = { ArrowRight: "up", ArrowUp: "up", ArrowLeft: "down", ArrowDown: "down", " ": "play" }

  for (const button of find("[data-do]")) button.addEventListener("click", acts[button.dataset.do])
  lever.addEventListener("input", () => { stop(); at(Number(lever.value)) })
  lever.addEventListener("keydown", event => {
    const act = keys[event.key]
    if (!act || event.ctrlKey || event.metaKey || event.altKey) return
    event.preventDefault()
    acts[act]()
  })
  if (load) {
    load.addEventListener("change", () => {
      const state = shown.state || Math.floor(shown.at)
      stop()
      at(state)
    })
  }
  map.querySelector(".wl-map-controls").hidden = false
})()
