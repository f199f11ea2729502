// Mouse, pen and fingers on the stage.
//
// A point under the pointer is dragged. Elsewhere a short press sets a point, a drag moves the picture, two fingers zoom;
// a finger held still sets a point under the loupe and lets it go where it is lifted. A short press sets a point also over
// points of what is not being marked: those are only dragged.

const STILL = 5;
const HELD = 380;

export function followPointers(stage, placed) {
  const { root, marks } = stage;
  const fingers = new Map();
  let act = null;

  const place = event => {
    const box = root.getBoundingClientRect();
    return [event.clientX - box.left - root.clientLeft, event.clientY - box.top - root.clientTop];
  };

  root.addEventListener("pointerdown", event => {
    if (!stage.about || event.button > 1) return;
    const at = place(event);
    fingers.set(event.pointerId, at);
    root.setPointerCapture(event.pointerId);
    if (fingers.size === 2) {
      stop();
      act = { does: "zoom", ...spread([...fingers.values()]) };
      return;
    }
    if (fingers.size > 2) return;
    stage.hush();
    const node = event.button === 0 ? pointAt(event) : null;
    if (node?.dataset.key === marks.active) grab(node, at);
    else wait(event, at, node);
    event.preventDefault();
  });

  // The point under the pointer: of several that lie over one another, that of what is being marked.
  function pointAt(event) {
    const nodes = document.elementsFromPoint(event.clientX, event.clientY).map(one => one.closest?.(".point")).filter(Boolean);
    return nodes.find(one => one.dataset.key === marks.active) ?? nodes[0] ?? null;
  }

  function grab(node, at) {
    const key = node.dataset.key;
    const index = Number(node.dataset.index);
    const [x, y] = stage.view.screen(marks.track(key).points[index]);
    stage.cross = null;
    marks.select(key, index);
    node.focus({ preventScroll: true });
    marks.hold();
    act = { does: "drag", key, index, off: [x - at[0], y - at[1]] };
    stage.looked = marks.point;
    stage.paint();
  }

  function wait(event, at, other) {
    root.focus({ preventScroll: true });
    act = { does: "wait", at, from: at, sets: event.button === 0, other };
    if (event.pointerType !== "mouse") {
      act.timer = setTimeout(() => {
        act = { does: "aim" };
        stage.looked = stage.view.inside(stage.view.source(at));
        stage.paint();
      }, HELD);
    }
  }

  root.addEventListener("pointermove", event => {
    const at = place(event);
    if (fingers.has(event.pointerId)) fingers.set(event.pointerId, at);
    if (!act) {
      hover(event, at);
      return;
    }
    if (act.does === "drag") drag(at);
    else if (act.does === "aim") {
      stage.looked = stage.view.inside(stage.view.source(at));
      stage.paint();
    } else if (act.does === "zoom" && fingers.size === 2) {
      const now = spread([...fingers.values()]);
      stage.view.pinch(act, now);
      Object.assign(act, now);
    } else if (act.does === "wait" || act.does === "pan") {
      if (act.does === "wait" && Math.hypot(at[0] - act.from[0], at[1] - act.from[1]) > STILL) {
        clearTimeout(act.timer);
        if (act.other) {
          grab(act.other, act.from);
          drag(at);
          return;
        }
        act.does = "pan";
        stage.looked = null;
        root.classList.add("panning");
      }
      if (act.does === "pan") {
        stage.view.pan(at[0] - act.at[0], at[1] - act.at[1]);
        act.at = at;
      }
    }
  });

  function drag(at) {
    const point = stage.view.inside(stage.view.source([at[0] + act.off[0], at[1] + act.off[1]]));
    stage.looked = point;
    marks.move(act.key, act.index, point);
  }

  root.addEventListener("pointerup", event => {
    const at = place(event);
    fingers.delete(event.pointerId);
    const done = act;
    const still = done && ((done.does === "wait" && done.sets) || done.does === "aim");
    stop();
    if (still) placed(stage.view.inside(stage.view.source(at)));
    if (event.pointerType !== "mouse") stage.looked = null;
    stage.paint();
  });

  root.addEventListener("pointercancel", event => {
    fingers.delete(event.pointerId);
    stop();
  });

  root.addEventListener("pointerleave", () => {
    if (!act) {
      stage.looked = null;
      stage.paint();
    }
  });

  root.addEventListener("wheel", event => {
    if (!stage.about) return;
    event.preventDefault();
    const lines = event.deltaMode === 1 ? 16 : 1;
    // With Shift some browsers turn the wheel across.
    const turned = (event.deltaY || event.deltaX) * lines;
    const factor = Math.exp(-turned * (event.ctrlKey ? 0.01 : 0.0016));
    if (event.shiftKey && stage.view.zoomFrequencies) stage.view.zoomFrequencies(factor, place(event));
    else stage.view.zoom(factor, place(event));
    stage.looked = stage.view.inside(stage.view.source(place(event)));
  }, { passive: false });

  function hover(event, at) {
    if (event.pointerType !== "mouse" || !stage.about) return;
    stage.cross = null;
    stage.looked = marks.room || event.target.closest?.(".point") ? stage.view.inside(stage.view.source(at)) : null;
    stage.paint();
  }

  function stop() {
    if (act?.timer) clearTimeout(act.timer);
    if (act?.does === "drag") marks.release();
    act = null;
    root.classList.remove("panning");
  }
}

function spread([one, other]) {
  const [wide, tall] = [Math.abs(one[0] - other[0]), Math.abs(one[1] - other[1])];
  return { wide, tall, reach: Math.hypot(wide, tall), middle: [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2] };
}
