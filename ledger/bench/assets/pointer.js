// Mouse, pen and fingers on the stage.
//
// A point under the pointer is dragged. Elsewhere a short press sets a point, a drag moves the picture, two fingers zoom;
// a finger held still sets a point under the loupe and lets it go where it is lifted.

const STILL = 5;
const HELD = 380;

export function followPointers(stage, placed) {
  const { root, view, marks } = stage;
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
    const node = event.target.closest(".point");
    if (node && event.button === 0) grab(node, at);
    else wait(event, at);
    event.preventDefault();
  });

  function grab(node, at) {
    const key = node.dataset.key;
    const index = Number(node.dataset.index);
    const [x, y] = view.screen(marks.track(key).points[index]);
    stage.cross = null;
    marks.select(key, index);
    node.focus({ preventScroll: true });
    marks.hold();
    act = { does: "drag", key, index, off: [x - at[0], y - at[1]] };
    stage.looked = marks.point;
    stage.paint();
  }

  function wait(event, at) {
    root.focus({ preventScroll: true });
    act = { does: "wait", at, from: at, sets: event.button === 0 };
    if (event.pointerType !== "mouse") {
      act.timer = setTimeout(() => {
        act = { does: "aim" };
        stage.looked = view.inside(view.source(at));
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
    if (act.does === "drag") {
      const point = view.inside(view.source([at[0] + act.off[0], at[1] + act.off[1]]));
      stage.looked = point;
      marks.move(act.key, act.index, point);
    } else if (act.does === "aim") {
      stage.looked = view.inside(view.source(at));
      stage.paint();
    } else if (act.does === "zoom" && fingers.size === 2) {
      const now = spread([...fingers.values()]);
      view.pan(now.middle[0] - act.middle[0], now.middle[1] - act.middle[1]);
      view.zoom(now.reach / act.reach, now.middle);
      Object.assign(act, now);
    } else if (act.does === "wait" || act.does === "pan") {
      if (act.does === "wait" && Math.hypot(at[0] - act.from[0], at[1] - act.from[1]) > STILL) {
        clearTimeout(act.timer);
        act.does = "pan";
        stage.looked = null;
        root.classList.add("panning");
      }
      if (act.does === "pan") {
        view.pan(at[0] - act.at[0], at[1] - act.at[1]);
        act.at = at;
      }
    }
  });

  root.addEventListener("pointerup", event => {
    const at = place(event);
    fingers.delete(event.pointerId);
    const done = act;
    const still = done && ((done.does === "wait" && done.sets) || done.does === "aim");
    stop();
    if (still) placed(view.inside(view.source(at)));
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
    view.zoom(Math.exp(-event.deltaY * lines * (event.ctrlKey ? 0.01 : 0.0016)), place(event));
    stage.looked = view.inside(view.source(place(event)));
  }, { passive: false });

  function hover(event, at) {
    if (event.pointerType !== "mouse" || !stage.about) return;
    stage.cross = null;
    const track = marks.track(marks.active);
    const free = track && track.points.length < track.most;
    stage.looked = free || event.target.closest?.(".point") ? view.inside(view.source(at)) : null;
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
  return {
    reach: Math.max(Math.hypot(one[0] - other[0], one[1] - other[1]), 1),
    middle: [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2],
  };
}
