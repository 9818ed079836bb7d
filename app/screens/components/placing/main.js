// The widget: a photo on which a person sets named marks.  What a finger, key or button does.

import { mount } from "../shared/mounting.js";
import { listen } from "./gestures.js";
import { recall, remember } from "./keeping.js";
import { pressKey } from "./keys.js";
import { Marks } from "./marks.js";
import { Panel } from "./panel.js";
import { Picture } from "./picture.js";
import { CAME_CLOSER, noMore, objection } from "./words.js";

const SLOW = 0.25; // of a drag's way, so that a fingertip sets a mark to a fraction of a pixel
const FINE_SCALE = 1; // CSS pixels to a photo pixel; from here on a tap is no guess from afar
const NEAR_PX = 26; // a tap so near to a mark chooses it, where marks are set one after the other
const TWICE_FACTOR = 3;
const FAR_IN_SCALE = 6; // from here on tapping twice leads back to the whole photo

class Placing {
  #stop = new AbortController();
  #step = 1; // photo px of the arrow buttons

  constructor(component) {
    this.component = component;
    const { data, parentElement } = component;
    const root = parentElement.querySelector(".placing");
    const photo = { width: data.width, height: data.height };
    this.marks = new Marks(data.labels, photo, recall(data) ?? used(data), data.least);
    this.fine = data.fine ?? FINE_SCALE;
    this.handed = used(data).length ? JSON.stringify(this.#points()) : "";
    this.panel = new Panel(root, this.marks, (index) => this.#choose(index));
    this.picture = new Picture({
      pane: root.querySelector(".pane"),
      close: root.querySelector(".close"),
      photo,
      address: data.tiles,
      marks: this.marks,
      trouble: (what) => this.panel.tellTrouble(what),
    });
    this.view = this.picture.view;
    this.#hear(root);
    this.#tell();
  }

  update(component) {
    this.component = component;
  }

  destroy() {
    this.#stop.abort();
    this.picture.destroy();
    this.panel.destroy();
  }

  #hear(root) {
    const { signal } = this.#stop;
    const deeds = this.#deeds();
    listen(this.picture.surface, this.#fingers(), signal);
    root.addEventListener("click", (event) => {
      deeds[event.target.closest("[data-deed]")?.dataset.deed]?.();
    }, { signal });
    root.addEventListener("keydown", (event) => {
      const undo = event.key.toLowerCase() === "z";
      if (!undo && !event.target.closest(".pane, .mark")) return;
      if (pressKey(event, this.#keys(deeds), () => this.view.scale)) event.preventDefault();
    }, { signal });
  }

  // Deeds of the buttons, by their data-deed.
  #deeds() {
    const arrow = (x, y) => () => this.#nudge(x * this.#step, y * this.#step, true);
    return {
      closer: () => this.#zoom(2),
      farther: () => this.#zoom(1 / 2),
      all: () => {
        this.view.showAll();
        this.picture.moved();
      },
      left: arrow(-1, 0),
      right: arrow(1, 0),
      up: arrow(0, -1),
      down: arrow(0, 1),
      step: () => {
        this.#step = this.#step === 1 ? 0.1 : 1;
        this.#tell();
      },
      undo: () => {
        this.marks.undo();
        this.#tell();
      },
      remove: () => {
        this.marks.remove();
        this.#tell();
      },
      clear: () => {
        this.marks.clear();
        this.#tell();
      },
      retry: () => this.picture.tiles.retryNow(),
      use: () => this.#use(),
    };
  }

  #keys(deeds) {
    return {
      nudge: (dx, dy, fine) => this.#nudge(dx, dy, fine),
      zoom: (factor) => this.#zoom(factor),
      showAll: deeds.all,
      next: (step) => this.#choose(this.marks.active + step),
      putInMiddle: () => this.#tapped(this.view.centre),
      undo: deeds.undo,
      remove: deeds.remove,
    };
  }

  #fingers() {
    let from = null;
    return {
      near: (point, radius) => {
        const mark = this.marks.at() && this.view.toScreen(this.marks.at());
        return Boolean(mark) && Math.hypot(mark.x - point.x, mark.y - point.y) <= radius;
      },
      tap: (point) => this.#tapped(this.view.toPhoto(point)),
      twice: (point) => {
        if (this.marks.grows) return; // a tap from afar has gone closer already
        this.marks.undo(); // the first of the two taps was not meant to place
        if (this.view.scale >= FAR_IN_SCALE) this.view.showAll();
        else this.view.zoom(point, TWICE_FACTOR);
        this.#tell();
      },
      dragBegins: () => {
        this.marks.endDeed();
        from = this.marks.at();
      },
      drag: (dx, dy) => {
        const way = SLOW / this.view.scale;
        this.#put({ x: from.x + dx * way, y: from.y + dy * way }, this.view.scale >= this.fine * SLOW, "drag");
      },
      dragEnds: () => this.marks.endDeed(),
      pan: (dx, dy) => {
        this.view.pan(dx, dy);
        this.picture.moved();
      },
      zoom: (point, factor) => {
        const changed = this.view.zoom(point, factor);
        this.picture.moved();
        return changed;
      },
    };
  }

  #isClose() {
    return this.view.scale >= this.fine;
  }

  // Around the active mark, or the middle where it is not placed.
  #zoom(factor) {
    const { width, height } = this.view.pane;
    const mark = this.marks.at();
    if (mark && factor > 1) this.view.reveal(mark);
    this.view.zoom(mark ? this.view.toScreen(mark) : { x: width / 2, y: height / 2 }, factor);
    this.picture.moved();
  }

  // Where marks are set one after the other, a tap near one chooses it, and one from afar goes closer.
  #tapped(point) {
    if (!this.marks.grows) {
      this.#put(point, this.#isClose(), "tap");
      return;
    }
    const at = this.view.toScreen(point);
    const near = this.marks.set.findIndex((one) => {
      const mark = this.view.toScreen(one);
      return Math.hypot(mark.x - at.x, mark.y - at.y) <= NEAR_PX;
    });
    if (!this.#isClose()) {
      this.view.zoom(at, (1.05 * this.fine) / this.view.scale);
      this.picture.moved();
      this.panel.object(CAME_CLOSER);
    } else if (near >= 0) {
      this.#choose(near);
    } else if (this.marks.add(point, true)) {
      this.#tell();
    } else {
      this.panel.object(noMore(this.marks));
    }
  }

  #put(point, fine, deed) {
    this.marks.put(point, fine, deed);
    this.#tell();
  }

  // A mark that is not placed yet begins in the middle of the view.
  #nudge(dx, dy, fine) {
    const from = this.marks.at();
    if (from) this.#put({ x: from.x + dx, y: from.y + dy }, fine || this.#isClose(), "nudge");
    else this.#tapped(this.view.centre);
    if (this.marks.at()) this.view.reveal(this.marks.at());
  }

  #choose(index) {
    this.marks.choose(index);
    if (this.marks.at()) this.view.reveal(this.marks.at());
    this.#tell();
  }

  #points() {
    return this.marks.all ? this.marks.set.map(({ x, y }) => [x, y]) : null;
  }

  #use() {
    const why = objection(this.marks);
    if (why) {
      this.panel.object(why);
      return;
    }
    const points = this.#points();
    this.handed = JSON.stringify(points);
    this.component.setStateValue("places", { photo: this.component.data.photo, points });
    this.#tell();
  }

  #tell() {
    const handedOver = this.marks.all && JSON.stringify(this.#points()) === this.handed;
    remember(this.component.data, this.marks.places);
    this.panel.tell(handedOver, this.#step);
    this.picture.moved();
  }
}

// Places that Python already has.
function used(data) {
  return (data.used ?? []).map(([x, y]) => ({ x, y, fine: true }));
}

export default function placePoints(component) {
  const { photo, width, height, labels, least, keep } = component.data;
  const identity = JSON.stringify([photo, width, height, labels, least, keep]);
  return mount(component, identity, (first) => new Placing(first));
}
