// The two pictures of the widget: the pane with the photo, and the close view of the active mark.

import { paintCrossHair, paintMark, paintPhoto } from "./draw.js";
import { levelFor, piecesIn, Tiles } from "./tiles.js";
import { View } from "./view.js";

const CLOSE_SCALE = 5; // CSS pixels to a photo pixel in the close view, at least
const CLOSEST_SCALE = 16;
const STILL_MS = 110; // pieces are asked for when the photo has come to rest

export class Picture {
  #ended = false;
  #drawing = 0;
  #asking = 0;

  // `pane` and `close` are elements with a canvas each; `trouble` is told of pieces that do not load.
  constructor({ pane, close, photo, address, marks, trouble }) {
    this.pane = pane;
    this.close = close;
    this.surface = pane.querySelector("canvas");
    this.inset = close.querySelector("canvas");
    this.photo = photo;
    this.marks = marks;
    this.view = new View(photo);
    this.tiles = new Tiles(address, { changed: () => this.draw(), trouble });
    this.watch = new ResizeObserver(() => this.resize());
    this.watch.observe(pane);
    this.watch.observe(this.inset);
    this.resize();
  }

  destroy() {
    this.#ended = true;
    this.watch.disconnect();
    this.tiles.destroy();
    cancelAnimationFrame(this.#drawing);
    clearTimeout(this.#asking);
  }

  resize() {
    this.view.resize(this.pane.clientWidth, this.pane.clientHeight);
    this.moved();
  }

  // The view or a mark has changed: paint at once, load what is seen as soon as it rests.
  moved() {
    this.pane.setAttribute("aria-busy", "true");
    this.draw();
    clearTimeout(this.#asking);
    this.#asking = setTimeout(() => this.#ask(), this.tiles.held().length ? STILL_MS : 0);
  }

  draw() {
    if (this.#drawing || this.#ended) return;
    this.#drawing = requestAnimationFrame(() => {
      this.#drawing = 0;
      this.#paint();
    });
  }

  #frame() {
    return { ...this.view.pane, scale: this.view.scale, centre: this.view.centre };
  }

  #closeFrame() {
    const { clientWidth: width, clientHeight: height } = this.inset;
    const scale = Math.min(CLOSEST_SCALE, Math.max(CLOSE_SCALE, 2 * this.view.scale));
    return { width, height, scale, centre: this.marks.at() };
  }

  #ask() {
    this.#asking = 0;
    const close = this.marks.at() ? piecesIn(edges(this.#closeFrame()), 0, this.photo) : [];
    const level = levelFor(this.view.scale, devicePixelRatio, this.photo);
    const seen = piecesIn(edges(this.#frame()), level, this.photo);
    const already = new Set(close.map(({ name }) => name));
    this.tiles.want([...close, ...seen.filter(({ name }) => !already.has(name))]);
    this.draw();
  }

  #paint() {
    const { view, marks } = this;
    const context = paintPhoto(this.surface, this.#frame(), this.tiles, devicePixelRatio);
    marks.places.forEach((place, index) => {
      if (place && index !== marks.active) paintMark(context, view.toScreen(place), index, false);
    });
    if (marks.at()) paintMark(context, view.toScreen(marks.at()), marks.active, true);
    this.#paintClose();
    if (!this.#asking && !this.tiles.busy) this.pane.setAttribute("aria-busy", "false");
  }

  #paintClose() {
    const shown = Boolean(this.marks.at());
    this.close.classList.toggle("empty", !shown);
    if (!shown) return;
    const frame = this.#closeFrame();
    const context = paintPhoto(this.inset, frame, this.tiles, devicePixelRatio);
    paintCrossHair(context, frame.width, frame.height, this.marks.active);
  }
}

function edges({ width, height, scale, centre }) {
  const [across, down] = [width / scale / 2, height / scale / 2];
  return { left: centre.x - across, right: centre.x + across, top: centre.y - down, bottom: centre.y + down };
}
