// Fingers, mouse and pen on the photo, told apart and handed on as deeds.

const TAP_MS = 700; // a longer rest is no tap: a glove may lie on the glass
const TWICE_MS = 320;
const SLOP = { mouse: 4, touch: 9 }; // CSS px of trembling that are no movement
const TWICE_PX = { mouse: 6, touch: 30 };
const GRAB_PX = { mouse: 14, touch: 32 };

const kindOf = (event) => (event.pointerType === "mouse" ? "mouse" : "touch");
const middle = (a, b) => ({ x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 });

// `on` has: near(point, radius) → is the active mark there; tap(point); twice(point);
// dragBegins(), drag(dx, dy) from where it began, dragEnds(); pan(dx, dy); zoom(point, factor) → changed.
// Listens until `signal` says no more.
export function listen(surface, on, signal) {
  const down = new Map();
  let deed = "none"; // none, press, drag, pan, pinch, over
  let lastTap = { at: -Infinity };
  let pinched = null;

  const place = (event) => {
    const box = surface.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };

  function pinchNow() {
    const [a, b] = [...down.values()].map(({ now }) => now);
    return { at: middle(a, b), spread: Math.max(1, Math.hypot(a.x - b.x, a.y - b.y)) };
  }

  function pressed(event) {
    if (event.pointerType === "mouse" && event.button !== 0) return;
    surface.setPointerCapture(event.pointerId);
    const now = place(event);
    down.set(event.pointerId, { from: now, now, began: event.timeStamp });
    if (deed === "drag") on.dragEnds();
    if (down.size === 1) deed = "press";
    else if (down.size === 2) [deed, pinched] = ["pinch", pinchNow()];
    else deed = "over";
  }

  function moved(event) {
    const finger = down.get(event.pointerId);
    if (!finger) return;
    const before = finger.now;
    finger.now = place(event);
    const way = { x: finger.now.x - finger.from.x, y: finger.now.y - finger.from.y };
    if (deed === "press" && Math.hypot(way.x, way.y) > SLOP[kindOf(event)]) {
      deed = on.near(finger.from, GRAB_PX[kindOf(event)]) ? "drag" : "pan";
      if (deed === "drag") on.dragBegins();
      else on.pan(way.x, way.y);
    } else if (deed === "pan") {
      on.pan(finger.now.x - before.x, finger.now.y - before.y);
    }
    if (deed === "drag") on.drag(way.x, way.y);
    if (deed === "pinch") {
      const now = pinchNow();
      on.pan(now.at.x - pinched.at.x, now.at.y - pinched.at.y);
      on.zoom(now.at, now.spread / pinched.spread);
      pinched = now;
    }
  }

  function lifted(event) {
    const finger = down.get(event.pointerId);
    if (!finger) return;
    down.delete(event.pointerId);
    if (deed === "drag") on.dragEnds();
    if (deed === "press" && event.type === "pointerup" && event.timeStamp - finger.began <= TAP_MS) {
      tapped(finger.from, event);
    }
    // What is left of a pinch neither pans nor taps.
    deed = down.size === 0 ? "none" : "over";
  }

  function tapped(at, event) {
    const near = Math.hypot(at.x - lastTap.x, at.y - lastTap.y) <= TWICE_PX[kindOf(event)];
    if (near && event.timeStamp - lastTap.at <= TWICE_MS) {
      lastTap = { at: -Infinity };
      on.twice(at);
    } else {
      lastTap = { ...at, at: event.timeStamp };
      on.tap(at);
    }
  }

  function rolled(event) {
    const lines = [1, 16, 400][event.deltaMode];
    // A trackpad's pinch comes as a wheel with Ctrl and small steps.
    const factor = Math.exp(-event.deltaY * lines * (event.ctrlKey ? 0.01 : 0.0022));
    // At the end of the zoom the wheel scrolls the page again.
    if (on.zoom(place(event), factor) || event.ctrlKey) event.preventDefault();
  }

  surface.addEventListener("pointerdown", pressed, { signal });
  surface.addEventListener("pointermove", moved, { signal });
  surface.addEventListener("pointerup", lifted, { signal });
  surface.addEventListener("pointercancel", lifted, { signal });
  surface.addEventListener("wheel", rolled, { passive: false, signal });
}
