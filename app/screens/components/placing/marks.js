// The marks that a person sets: where they are, which is active, how to go back.
//
// Either every label has its place (`least` is their number), or as many places as the person wants
// are set one after the other, `least` of them at the least: then they are always the first ones.

// Steps of one burst of key presses are taken back together.
const BURST_MS = 900;

export class Marks {
  #history = [];
  #last = { deed: "", at: -Infinity };

  constructor(labels, photo, places = [], least = labels.length) {
    this.labels = labels;
    this.photo = photo;
    this.least = least;
    this.grows = least < labels.length;
    this.active = 0;
    // Each null or { x, y, fine }: fine tells that it was set close up, where a fingertip is no guess.
    this.places = labels.map((_, i) => places[i] ?? null);
  }

  get all() {
    return this.set.length >= this.least;
  }

  get set() {
    return this.places.filter(Boolean);
  }

  // The first that is not placed, -1 where none is left.
  get open() {
    return this.places.findIndex((place) => !place);
  }

  get canUndo() {
    return this.#history.length > 0;
  }

  at(index = this.active) {
    return this.places[index];
  }

  choose(index) {
    this.endDeed();
    const many = this.grows ? Math.max(1, this.set.length) : this.labels.length;
    this.active = (index + many) % many;
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

  // Another place after those that are set; false where no more may be set.
  add(point, fine) {
    if (this.open < 0) return false;
    this.#remember();
    this.endDeed();
    this.active = this.open;
    this.places = this.places.map((old, i) => (i === this.active ? { ...this.#inside(point), fine } : old));
    return true;
  }

  // Takes the active mark away; those after it move up.
  remove() {
    if (!this.at()) return;
    this.#remember();
    this.endDeed();
    this.places = [...this.places.filter((_, i) => i !== this.active), null];
    this.active = Math.max(0, this.active - 1);
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
