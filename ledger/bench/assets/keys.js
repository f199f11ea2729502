// The keyboard on the stage: the cross while the stage itself has the focus, a point while one of them has.

const NUDGE = 1;
const CROSS = 12;
const ZOOM = 1.25;
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const REST = 700;

export function followKeys(stage, placed) {
  const { root, view, marks } = stage;
  let resting = 0;

  root.addEventListener("keydown", event => {
    if (!stage.about) return;
    if (press(event)) event.preventDefault();
  });

  function press(event) {
    const point = event.target.closest(".point");
    const arrow = ARROWS[event.key];
    if (arrow) {
      if (event.ctrlKey || event.metaKey) return false;
      if (point) nudge(arrow, event);
      else move(arrow, event);
      return true;
    }
    if (event.ctrlKey || event.metaKey || (event.altKey && event.key !== "Enter")) return false;
    switch (event.key) {
      case "+": case "=": view.zoom(ZOOM, about()); return true;
      case "-": case "−": case "_": view.zoom(1 / ZOOM, about()); return true;
      case "0": view.fit(); return true;
      case "1": view.zoomTo(1, about()); return true;
      case "n": case "N": marks.next(); return true;
      case "Enter": case " ":
        if (!point) placed(stage.cross ?? start());
        return true;
      case "Delete": case "Backspace":
        if (point) takeAway();
        return Boolean(point);
      case "Escape":
        if (!point) return false;
        stage.cross = marks.point && [...marks.point];
        marks.select(null);
        root.focus({ preventScroll: true });
        return true;
      default: return false;
    }
  }

  // Zooming is about what is being worked on.
  function about() {
    const at = stage.cross ?? marks.point;
    return at ? view.screen(at) : undefined;
  }

  function nudge([across, down], event) {
    if (!marks.point) return;
    const step = event.altKey ? 0.1 : event.shiftKey ? 10 : NUDGE;
    const { key, index } = marks.selected;
    const [x, y] = marks.point;
    const moved = view.inside([x + across * step, y + down * step]);
    if (!resting) marks.hold();
    clearTimeout(resting);
    resting = setTimeout(settle, REST);
    marks.move(key, index, moved);
    view.show(moved);
    stage.looked = moved;
  }

  function settle() {
    if (!resting) return;
    clearTimeout(resting);
    resting = 0;
    marks.release();
  }

  function move([across, down], event) {
    const [x, y] = stage.cross ?? start();
    const step = event.altKey ? 1 : (event.shiftKey ? 8 * CROSS : CROSS) / view.scale;
    stage.cross = view.inside([x + across * step, y + down * step]);
    view.show(stage.cross);
    stage.looked = stage.cross;
    stage.paint();
  }

  function start() {
    return view.inside(view.source([view.width / 2, view.height / 2]));
  }

  function takeAway() {
    settle();
    marks.remove(marks.selected.key, marks.selected.index);
    stage.looked = null;
    if (!marks.selected) root.focus({ preventScroll: true });
    else requestAnimationFrame(() => stage.overlay.node(marks.selected?.key, marks.selected?.index)?.focus());
  }

  root.addEventListener("focusin", event => {
    const point = event.target.closest(".point");
    if (!point) return;
    settle();
    stage.cross = null;
    const index = Number(point.dataset.index);
    if (marks.selected?.key !== point.dataset.key || marks.selected.index !== index) marks.select(point.dataset.key, index);
    if (marks.point && event.target.matches(":focus-visible")) {
      view.show(marks.point);
      stage.looked = marks.point;
      stage.paint();
    }
  });

  root.addEventListener("focusout", event => {
    settle();
    if (root.contains(event.relatedTarget)) return;
    stage.cross = null;
    stage.looked = null;
    stage.paint();
  });

  return settle;
}
