// The keyboard on the stage: the cross while the stage itself has the focus, a point while one of them has.

const CROSS = 12;
const ZOOM = 1.25;
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const REST = 700;

export function followKeys(stage, placed) {
  const { root, marks } = stage;
  let resting = 0;

  root.addEventListener("keydown", event => {
    if (!stage.about) return;
    const said = stage.said;
    if (!press(event)) return;
    event.preventDefault();
    if (said === stage.said) stage.hush();
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
      case "+": case "=": stage.view.zoom(ZOOM, about()); return true;
      case "-": case "−": case "_": stage.view.zoom(1 / ZOOM, about()); return true;
      case "0": stage.view.fit(); return true;
      case "1": stage.view.zoomTo?.(1, about()); return true;
      case "f": stage.view.zoomFrequencies?.(ZOOM, about()); return true;
      case "F": stage.view.zoomFrequencies?.(1 / ZOOM, about()); return true;
      case "n": case "N": next(point); return true;
      case "Enter": case " ":
        if (event.repeat) return true;
        if (point) leave();
        else placed(stage.cross ?? start());
        return true;
      case "Delete": case "Backspace":
        if (point) takeAway();
        return Boolean(point);
      case "Escape":
        if (!point) return false;
        leave();
        return true;
      default: return false;
    }
  }

  // From the point that has the focus to the cross, which stands where the point is.
  function leave() {
    settle();
    stage.cross = marks.point && stage.view.cross(marks.point);
    marks.select(null);
    root.focus({ preventScroll: true });
  }

  // With the last point of a thing the marking has gone on by itself: then only the point is left for the cross.
  function next(point) {
    const onward = !point || point.dataset.key === marks.active || !marks.room;
    if (point) leave();
    if (onward) marks.next();
  }

  // Zooming is about what is being worked on.
  function about() {
    const at = stage.cross ?? marks.point;
    return at ? stage.view.screen(at) : undefined;
  }

  function nudge([across, down], event) {
    if (!marks.point) return;
    const { key, index } = marks.selected;
    const moved = stage.view.nudged(marks.point, [across, down], event.altKey ? "fine" : event.shiftKey ? "coarse" : "plain");
    if (!resting) marks.hold();
    clearTimeout(resting);
    resting = setTimeout(settle, REST);
    marks.move(key, index, moved);
    stage.view.show(moved);
    stage.looked = moved;
  }

  function settle() {
    if (!resting) return;
    clearTimeout(resting);
    resting = 0;
    marks.release();
  }

  function move([across, down], event) {
    const from = stage.cross ?? start();
    const [x, y] = stage.view.screen(from);
    const step = event.shiftKey ? 8 * CROSS : CROSS;
    stage.cross = event.altKey ? stage.view.nudged(from, [across, down], "plain") : stage.view.inside(stage.view.source([x + across * step, y + down * step]));
    stage.view.show(stage.cross);
    stage.looked = stage.cross;
    stage.paint();
  }

  function start() {
    return stage.view.inside(stage.view.source([stage.view.width / 2, stage.view.height / 2]));
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
      stage.view.show(marks.point);
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
