// The keyboard: what a key does, and by how far an arrow moves the active mark.

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const FAR_CSS_PX = 40; // with Ctrl: a way that is seen, however far in or out the photo is zoomed

// `on` has: nudge(dx, dy, fine), zoom(factor), showAll(), next(step), putInMiddle(), undo(), remove().
// `scale()` is CSS pixels to a photo pixel.  Returns whether the key was one of ours.
export function pressKey(event, on, scale) {
  const command = event.ctrlKey || event.metaKey;
  if (command && event.key.toLowerCase() === "z" && !event.shiftKey) {
    on.undo();
    return true;
  }
  const way = ARROWS[event.key];
  if (way && !event.altKey && !event.metaKey) {
    const step = event.ctrlKey ? Math.max(1, FAR_CSS_PX / scale()) : event.shiftKey ? 0.1 : 1;
    on.nudge(way[0] * step, way[1] * step, !event.ctrlKey);
    return true;
  }
  if (command || event.altKey) return false;
  const deed = {
    "+": () => on.zoom(1.5),
    "=": () => on.zoom(1.5),
    "-": () => on.zoom(1 / 1.5),
    "0": () => on.showAll(),
    n: () => on.next(1),
    N: () => on.next(-1),
    Enter: () => on.putInMiddle(),
    " ": () => on.putInMiddle(),
    Delete: () => on.remove(),
    Backspace: () => on.remove(),
  }[event.key];
  // On a button, Enter and the space bar press it.
  if (!deed || (event.target.closest("button") && ["Enter", " "].includes(event.key))) return false;
  deed();
  return true;
}
