// The buttons over the stage, and undoing with the keyboard.

const byId = id => document.getElementById(id);

export function followTools({ stage, marks, settle }) {
  const keys = byId("keys");
  const act = {
    nearer: () => stage.view.zoom(1.5), farther: () => stage.view.zoom(1 / 1.5), whole: () => stage.view.fit(), natural: () => stage.view.zoomTo?.(1),
    "frequencies-nearer": () => stage.view.zoomFrequencies?.(1.5), "frequencies-farther": () => stage.view.zoomFrequencies?.(1 / 1.5),
    undo: () => past(() => marks.undo()), redo: () => past(() => marks.redo()),
    remove: () => marks.point && marks.remove(marks.selected.key, marks.selected.index),
    help: () => keys.showModal(), "keys-close": () => keys.close(),
  };
  for (const [id, does] of Object.entries(act)) byId(id).addEventListener("click", does);
  addEventListener("keydown", event => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.target.closest("input, textarea, dialog")) return;
    const key = event.key.toLowerCase();
    if (key === "z" || key === "y") {
      event.preventDefault();
      past(() => (key === "y" || event.shiftKey ? marks.redo() : marks.undo()));
    }
  });

  function past(go) {
    settle();
    const focused = document.activeElement?.closest?.(".point");
    go();
    stage.looked = null;
    stage.overlay.draw();
    if (focused && document.activeElement !== focused) stage.root.focus({ preventScroll: true });
  }

  function tell() {
    byId("undo").disabled = !marks.undoable;
    byId("redo").disabled = !marks.redoable;
    byId("remove").disabled = !marks.point;
  }

  marks.on(tell);
  tell();
}
