// Growing pauses between tries at something that a network may spoil.

const FIRST_MS = 1000;
const LONGEST_MS = 30000;

// The pause before try number `tries` + 1, in ms: 1, 2, 4 … 30 s.
export function pauseAfter(tries) {
  return Math.min(LONGEST_MS, FIRST_MS * 2 ** Math.max(0, tries - 1));
}

// A pause that ends early when there is reason to hope: the network is back, the
// page is looked at again (a tab frozen behind the camera wakes here), or `hurry`
// was called.  `tick` is told the whole seconds left.
export class Pause {
  #timers = [];
  #end = null;
  #wake = () => {
    if (document.visibilityState === "visible") this.hurry();
  };

  wait(ms, tick = () => {}) {
    this.cancel();
    return new Promise((resolve) => {
      this.#end = resolve;
      const until = Date.now() + ms;
      const tell = () => tick(Math.max(1, Math.ceil((until - Date.now()) / 1000)));
      tell();
      this.#timers = [setTimeout(() => this.hurry(), ms), setInterval(tell, 500)];
      window.addEventListener("online", this.#wake);
      document.addEventListener("visibilitychange", this.#wake);
    });
  }

  // Ends the pause now.
  hurry() {
    const end = this.#end;
    this.cancel();
    end?.();
  }

  // Forgets the pause: who waits for it waits for ever.
  cancel() {
    this.#timers.forEach((timer) => { clearTimeout(timer); clearInterval(timer); });
    this.#timers = [];
    this.#end = null;
    window.removeEventListener("online", this.#wake);
    document.removeEventListener("visibilitychange", this.#wake);
  }
}
