// The marks that a person sets: where they are, which is active, how to go back.

// Steps of one burst of key presses are taken back together.
const BURST_MS = 900;

export class Marks {
  #history = [];
  #last = { deed: "", at: -Infinity };

  constructor(labels, photo, places = []) {
    this.labels = labels;
    this.photo = photo;
    this.active = 0;
    // Each null or { x, y, fine }: fine tells that it was set close up, where a fingertip is no guess.
    this.places = labels.map((_, i) => places[i] ?? null);
  }

  get all() {
    return this.places.every(Boolean);
  }

  get canUndo() {
    return this.#history.length > 0;
  }

  at(index = this.active) {
    return this.places[index];
  }

  choose(index) {
    this.endDeed();
    this.active = (index + this.labels.length) % this.labels.length;
  }

  // `deed`: tap, drag or nudge.  A drag is one step back, however long; so are nudges in quick succession.
  put(point, fine, deed = "tap") {
    const now = Date.now();
    const goesOn = deed === "drag" || (deed === "nudge" && now - this.#last.at <= BURST_MS);
    if (!goesOn || deed !== this.#last.deed) this.#remember();
    this.#last = { deed, at: now };
    this.places = this.places.map((old, i) => (i === this.active ? { ...this.#inside(point), fine } : old));
  }

  // The next `put` is a step of its own, whatever came before.
  endDeed() {
    this.#last = { deed: "", at: -Infinity };
  }

  clear() {
    if (!this.places.some(Boolean)) return;
    this.#remember();
    this.endDeed();
    this.places = this.places.map(() => null);
    this.active = 0;
  }

  undo() {
    const before = this.#history.pop();
    if (!before) return false;
    ({ places: this.places, active: this.active } = before);
    this.endDeed();
    return true;
  }

  #remember() {
    this.#history.push({ places: this.places, active: this.active });
  }

  #inside({ x, y }) {
    const hundredth = (value, size) => Math.round(Math.min(size - 0.5, Math.max(-0.5, value)) * 100) / 100;
    return { x: hundredth(x, this.photo.width), y: hundredth(y, this.photo.height) };
  }
}
