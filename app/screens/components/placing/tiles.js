// The photo in pieces: only what is seen, only as sharp as the screen shows it.
//
// At level n a piece covers SIDE * 2^n photo pixels and comes as SIDE pixels, so a
// phone loads some hundred kilobytes for the whole photo and the full sharpness only
// where a mark is set.

import { Pause, pauseAfter } from "../shared/pauses.js";

const SIDE = 512;
const TOGETHER = 4; // requests at a time
const KEPT = 60; // decoded pieces of up to 1 MB each

// The level at which a piece's pixel is nearest to a device pixel, by ratio.
export function levelFor(scale, deviceRatio, photo) {
  const highest = Math.max(0, Math.ceil(Math.log2(Math.max(photo.width, photo.height) / SIDE)));
  return Math.min(highest, Math.max(0, Math.round(Math.log2(1 / (scale * deviceRatio)))));
}

// The pieces of a level that a rectangle of the photo touches, those nearest its middle first.
export function piecesIn({ left, top, right, bottom }, level, photo) {
  const step = SIDE * 2 ** level;
  const first = (low) => Math.max(0, Math.floor((low + 0.5) / step));
  const last = (high, size) => Math.min(Math.ceil(size / step) - 1, Math.floor((high + 0.5) / step));
  const found = [];
  for (let row = first(top); row <= last(bottom, photo.height); row += 1) {
    for (let column = first(left); column <= last(right, photo.width); column += 1) {
      const x = column * step;
      const y = row * step;
      const w = Math.min(step, photo.width - x);
      const h = Math.min(step, photo.height - y);
      const out = Math.max(1, Math.ceil(Math.max(w, h) / 2 ** level));
      const away = Math.hypot(x + w / 2 - (left + right) / 2, y + h / 2 - (top + bottom) / 2);
      found.push({ x, y, w, h, out, level, away, name: `${level}/${column}/${row}` });
    }
  }
  return found.sort((a, b) => a.away - b.away);
}

// Loads pieces and keeps those used last.  `changed()` is called when one has come;
// `trouble(answer)` with the HTTP status or 0 when one has not, `trouble(null)` when all is well again.
export class Tiles {
  #kept = new Map();
  #wanted = [];
  #loading = new Map();
  #tries = 0;
  #pause = new Pause();
  #pausing = false;
  #ended = false;

  constructor(address, { changed, trouble }) {
    this.address = address;
    this.changed = changed;
    this.trouble = trouble;
  }

  // What is to be loaded now, most urgent first: replaces all earlier wishes.
  want(pieces) {
    for (const { name } of pieces) this.#used(name);
    this.#wanted = pieces.filter(({ name }) => !this.#kept.has(name) && !this.#loading.has(name));
    this.#go();
  }

  // Every piece held, the least sharp first, so that sharper ones are drawn over them.
  held() {
    const pieces = [...this.#kept.values()];
    return pieces.sort((a, b) => b.piece.level - a.piece.level);
  }

  get busy() {
    return this.#loading.size + this.#wanted.length > 0;
  }

  retryNow() {
    this.#pause.hurry();
  }

  destroy() {
    this.#ended = true;
    this.#pause.cancel();
    this.#loading.forEach((stop) => stop.abort());
    this.#kept.forEach(({ bitmap }) => bitmap.close());
    this.#kept.clear();
  }

  // Those used last are dropped last.
  #used(name) {
    const held = this.#kept.get(name);
    if (!held) return;
    this.#kept.delete(name);
    this.#kept.set(name, held);
  }

  #go() {
    while (!this.#pausing && !this.#ended && this.#loading.size < TOGETHER && this.#wanted.length > 0) {
      this.#load(this.#wanted.shift());
    }
  }

  async #load(piece) {
    const stop = new AbortController();
    this.#loading.set(piece.name, stop);
    let status = 0;
    try {
      const { x, y, w, h, out } = piece;
      const answer = await fetch(`${this.address}?${new URLSearchParams({ x, y, w, h, out })}`, {
        signal: stop.signal,
        redirect: "error", // a redirect leads to the sign-in page, which is no picture
      });
      status = answer.status;
      if (!answer.ok) throw new Error(`status ${status}`);
      this.#keep(piece, await createImageBitmap(await answer.blob()));
    } catch {
      if (!this.#ended) this.#failed(piece, status);
    } finally {
      this.#loading.delete(piece.name);
    }
    this.#go();
  }

  #keep(piece, bitmap) {
    if (this.#ended) {
      bitmap.close();
      return;
    }
    this.#kept.set(piece.name, { piece, bitmap });
    if (this.#kept.size > KEPT) {
      const [oldest, { bitmap: old }] = this.#kept.entries().next().value;
      this.#kept.delete(oldest);
      old.close();
    }
    if (this.#tries > 0 && !this.#pausing) {
      this.#tries = 0;
      this.trouble(null);
    }
    this.changed();
  }

  async #failed(piece, status) {
    this.#wanted.push(piece);
    if (this.#pausing) return;
    this.#pausing = true;
    this.#tries += 1;
    await this.#pause.wait(pauseAfter(this.#tries), (seconds) => this.trouble({ status, seconds }));
    this.#pausing = false;
    this.#go();
  }
}
