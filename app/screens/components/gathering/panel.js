// What the gallery's widget shows.

import { words } from "./words.js";

export class GalleryPanel {
  constructor(root) {
    this.find = (selector) => root.querySelector(selector);
    this.find(".pick span").textContent = words.gallery;
  }

  // All that is kept here; `now` is the entry being sent, with the share of it that has gone, 0 to 1.
  list(entries, sent, now, share) {
    this.find(".going").hidden = entries.length === 0 && sent === 0;
    const waiting = entries.filter((entry) => !entry.refusal).length;
    const all = sent + waiting;
    const percent = all ? Math.round((100 * (sent + (now ? share : 0))) / all) : 100;
    this.find(".bar i").style.width = `${percent}%`;
    this.find(".bar").setAttribute("aria-valuenow", String(percent));
    this.find(".entries").replaceChildren(...entries.map((entry) => this.#row(entry, now)));
    this.#what(words.counted(sent, waiting));
  }

  // The server could not be reached; `seconds` until the next try.
  waiting(signedOut, seconds, tries) {
    this.find(".going .again").hidden = false;
    this.find(".going .again").textContent = words.again(seconds, tries);
    this.find('[data-deed="now"]').hidden = false;
    this.find(".ways a").hidden = !signedOut;
    this.#what(signedOut ? words.gallerySignedOut : words.galleryKept);
  }

  goingOn() {
    this.find(".going .again").hidden = true;
    this.find('[data-deed="now"]').hidden = true;
    this.find(".ways a").hidden = true;
  }

  complain(sentence) {
    this.find(".refusal").hidden = !sentence;
    this.find(".refusal p").textContent = sentence;
  }

  #row(entry, now) {
    const row = document.createElement("li");
    const name = document.createElement("span");
    name.className = "name";
    name.textContent = entry.name || words.unnamed;
    const state = document.createElement("span");
    state.textContent = entry.refusal || (entry === now ? words.sendingOne : words.keptOne);
    row.append(name, state);
    if (entry.refusal) {
      const remove = document.createElement("button");
      remove.type = "button";
      remove.dataset.deed = "remove";
      remove.dataset.key = entry.key;
      remove.textContent = words.remove;
      row.append(remove);
    }
    return row;
  }

  #what(sentence) {
    this.find(".what").textContent = sentence;
    if (this.find(".spoken").textContent !== sentence) this.find(".spoken").textContent = sentence;
  }
}
