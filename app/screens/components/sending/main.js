// The widget: a photo is picked, sent until the server has it, and followed until there is a result.
//
// It speaks with the server by HTTP alone; Streamlit's socket may be dead all the while.

import { mount } from "../shared/mounting.js";
import { Pause, pauseAfter } from "../shared/pauses.js";
import { ask, hasPhoto, unanswered } from "./draft.js";
import { drop, dropOld, keep, kept, takeIn } from "./outbox.js";
import { Panel } from "./panel.js";
import { send } from "./upload.js";
import { words } from "./words.js";

const ASK_EVERY_MS = 600;
const TELL_EVERY_MS = 4000; // Streamlit loses what it is told while its socket is down
const TELL_TIMES = 5;

class Sending {
  #stop = new AbortController();
  #pause = new Pause();
  #busy = false; // a photo was picked here

  constructor(component) {
    this.component = component;
    const { data, parentElement } = component;
    this.draft = data.draft;
    this.address = data.address;
    this.root = parentElement.querySelector(".sending");
    this.input = this.root.querySelector("input");
    this.panel = new Panel(this.root, data.stages);
    const { signal } = this.#stop;
    this.input.addEventListener("change", () => this.#picked(), { signal });
    this.root.addEventListener("click", (event) => this.#clicked(event), { signal });
    this.#takeUp();
  }

  update(component) {
    this.component = component;
  }

  destroy() {
    this.#stop.abort();
    this.#pause.cancel();
  }

  get #ended() {
    return this.#stop.signal.aborted;
  }

  #clicked(event) {
    const deed = event.target.closest("[data-deed]")?.dataset.deed;
    if (deed === "now") this.#pause.hurry();
    if (deed === "show") location.reload();
  }

  // After a reload, too: what the server has, else what this device kept, else a photo is wanted.
  async #takeUp() {
    dropOld();
    let state = await ask(this.address, this.#stop.signal);
    const photo = hasPhoto(state) ? undefined : await kept(this.draft);
    if (this.#ended) return;
    if (photo) {
      await this.#deliver(photo);
      return;
    }
    if (!hasPhoto(state)) this.panel.pick();
    // A server that does not answer may have the photo all the same.  Meanwhile one may be picked.
    for (let tries = 1; unanswered(state) && !this.#busy; tries += 1) {
      await this.#pause.wait(pauseAfter(tries));
      state = await ask(this.address, this.#stop.signal);
    }
    if (hasPhoto(state) && !this.#busy && !this.#ended) await this.#follow(state);
  }

  async #picked() {
    const [file] = this.input.files;
    if (!file) return;
    this.#busy = true;
    this.#pause.cancel();
    this.panel.sending(0, file.size);
    let photo;
    try {
      photo = await takeIn(file);
    } catch {
      this.#wantAnother(words.unreadable);
      return;
    }
    keep(this.draft, photo); // beside the sending, which does not wait for it
    await this.#deliver(photo);
  }

  async #deliver(photo) {
    for (let tries = 1; !this.#ended; tries += 1) {
      this.panel.sending(0, photo.blob.size);
      const { outcome, sentence } = await send(
        `${this.address}/photo`,
        photo,
        (bytes) => this.panel.sending(Math.min(bytes, photo.blob.size), photo.blob.size),
        this.#stop.signal,
      );
      if (this.#ended) return;
      if (outcome === "stored" || outcome === "refused") {
        await drop(this.draft);
        if (outcome === "refused") this.#wantAnother(sentence);
        else await this.#follow({});
        return;
      }
      // A server that will not read the body closes the line, and its 401 is lost on the way.
      const signedOut = outcome === "signedOut" || (await ask(this.address, this.#stop.signal)).status === 401;
      await this.#pause.wait(pauseAfter(tries), (seconds) => this.panel.waiting(signedOut, seconds, tries));
    }
  }

  #wantAnother(sentence) {
    this.input.value = ""; // so that the same file can be picked again
    this.panel.pick(sentence);
  }

  // Asks until there is a result.  `state` is what is known already.
  async #follow(state) {
    const began = Date.now();
    let known = state;
    if (!known.result_ready) this.#report("stored");
    for (let failures = 0; !this.#ended && !known.result_ready; ) {
      if (known.status === undefined) {
        failures = 0;
        const seconds = Math.round((Date.now() - began) / 1000);
        this.panel.measuring(known.stage ?? "", seconds, known.before ?? 0);
        await this.#pause.wait(ASK_EVERY_MS);
      } else {
        failures += 1;
        const { status } = known;
        await this.#pause.wait(pauseAfter(failures), (seconds) => this.panel.unanswered(status, seconds));
      }
      known = await ask(this.address, this.#stop.signal);
    }
    if (!this.#ended) await this.#tellReady();
  }

  // The page takes this widget away when it shows the result; until then it is told again.
  async #tellReady() {
    this.panel.ready();
    for (let times = 0; times < TELL_TIMES && !this.#ended; times += 1) {
      this.#report("ready");
      await this.#pause.wait(TELL_EVERY_MS);
    }
  }

  #report(what) {
    this.component.setTriggerValue("report", what);
  }
}

export default function sendPhoto(component) {
  return mount(component, component.data.draft, (first) => new Sending(first));
}
