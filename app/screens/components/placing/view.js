// Which part of the photo the pane shows, and where a point of one lies on the other.
//
// Photo points are full-size upright pixels, pixel centres at integers: the photo
// reaches from -0.5 to width - 0.5.  Screen points are CSS pixels from the pane's
// upper left corner.  `scale` is CSS pixels to a photo pixel.

const LARGEST_SCALE = 16;
const MARGIN = 0.94; // of the pane that the whole photo may fill, so that its border is seen

export class View {
  constructor(photo) {
    this.photo = photo; // { width, height } in photo px
    this.pane = { width: 1, height: 1 };
    this.showAll();
  }

  resize(width, height) {
    const whole = this.showsAll;
    this.pane = { width: Math.max(1, width), height: Math.max(1, height) };
    if (whole) this.showAll();
    else this.#settle();
  }

  get smallest() {
    const { width, height } = this.photo;
    return MARGIN * Math.min(this.pane.width / width, this.pane.height / height);
  }

  get largest() {
    return Math.max(LARGEST_SCALE, this.smallest);
  }

  get showsAll() {
    return this.scale <= this.smallest * 1.001;
  }

  showAll() {
    this.scale = this.smallest;
    this.centre = { x: (this.photo.width - 1) / 2, y: (this.photo.height - 1) / 2 };
  }

  toPhoto({ x, y }) {
    return {
      x: this.centre.x + (x - this.pane.width / 2) / this.scale,
      y: this.centre.y + (y - this.pane.height / 2) / this.scale,
    };
  }

  toScreen({ x, y }) {
    return {
      x: this.pane.width / 2 + (x - this.centre.x) * this.scale,
      y: this.pane.height / 2 + (y - this.centre.y) * this.scale,
    };
  }

  // Keeps the photo point under screen point `at` where it is.  Tells whether anything changed.
  zoom(at, factor) {
    const before = this.scale;
    const held = this.toPhoto(at);
    this.scale = Math.min(this.largest, Math.max(this.smallest, this.scale * factor));
    const now = this.toPhoto(at);
    this.centre = { x: this.centre.x + held.x - now.x, y: this.centre.y + held.y - now.y };
    this.#settle();
    return this.scale !== before;
  }

  // Moves the photo by a way on the screen.
  pan(dx, dy) {
    this.centre = { x: this.centre.x - dx / this.scale, y: this.centre.y - dy / this.scale };
    this.#settle();
  }

  // Moves the photo only as far as needed to have `point` well inside the pane.
  reveal(point) {
    const edge = Math.min(60, this.pane.width / 4, this.pane.height / 4);
    const at = this.toScreen(point);
    const over = (value, size) => Math.min(0, value - edge) + Math.max(0, value - (size - edge));
    this.pan(-over(at.x, this.pane.width), -over(at.y, this.pane.height));
  }

  // The photo covers the pane where it is larger; else it stays in the middle.
  #settle() {
    const within = (centre, photo, pane) => {
      const half = pane / this.scale / 2;
      if (2 * half >= photo) return (photo - 1) / 2;
      return Math.min(photo - 0.5 - half, Math.max(half - 0.5, centre));
    };
    this.centre = {
      x: within(this.centre.x, this.photo.width, this.pane.width),
      y: within(this.centre.y, this.photo.height, this.pane.height),
    };
  }
}
