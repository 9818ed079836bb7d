// The gallery's widget: many photos picked at once, kept on this device, and sent one after the other
// until the server has each.  What was left from an earlier time is sent as soon as the page opens.

import { mount } from "../shared/mounting.js";
import { Pause, pauseAfter } from "../shared/pauses.js";
import { GalleryPanel } from "./panel.js";
import { enterFile, entriesOf, markRefused, takeOut } from "./journal.js";
import { send } from "../sending/upload.js";
import { words } from "./words.js";

const TELL_EVERY_MS = 4000; // Streamlit loses what it is told while its socket is down

class Gallery {
  #stop = new AbortController();
  #pause = new Pause();
  #entries = [];
  #sent = 0;
  #sending = false;
  #untold = new Set(); // stored, and not yet on the page
  #telling = 0;

  constructor(component) {
    this.component = component;
    const { data, parentElement } = component;
    this.aircraft = data.aircraft;
    this.address = data.address;
    const root = parentElement.querySelector(".gallery");
    this.input = root.querySelector("input");
    this.panel = new GalleryPanel(root);
    const { signal } = this.#stop;
    this.input.addEventListener("change", () => this.#picked(), { signal });
    root.addEventListener("click", (event) => this.#clicked(event), { signal });
    this.#takeUp();
  }

  update(component) {
    this.component = component;
    for (const sha of component.data.there) this.#untold.delete(sha);
  }

  destroy() {
    this.#stop.abort();
    clearInterval(this.#telling);
    this.#pause.cancel();
  }

  get #ended() {
    return this.#stop.signal.aborted;
  }

  async #takeUp() {
    if (!globalThis.crypto?.subtle) {
      this.panel.complain(words.unsafe);
      return;
    }
    await this.#look();
    await this.#work();
  }

  async #look() {
    try {
      this.#entries = await entriesOf(this.aircraft);
    } catch {
      this.panel.complain(words.noJournal);
    }
    this.#show();
  }

  #show(now, share = 0) {
    if (!this.#ended) this.panel.list(this.#entries, this.#sent, now, share);
  }

  async #picked() {
    this.panel.complain("");
    const lost = [];
    for (const file of [...this.input.files]) {
      try {
        await enterFile(this.aircraft, file);
      } catch {
        lost.push(file.name);
      }
      await this.#look();
    }
    this.input.value = ""; // so that the same files can be picked again
    if (lost.length) this.panel.complain(words.notKept(lost));
    await this.#work();
  }

  async #clicked(event) {
    const { deed, key } = event.target.closest("[data-deed]")?.dataset ?? {};
    if (deed === "now") this.#pause.hurry();
    if (deed !== "remove") return;
    const entry = this.#entries.find((one) => one.key === key);
    if (entry) await takeOut(entry);
    await this.#look();
  }

  // Has the page run again until it shows what was stored.
  #tell() {
    clearInterval(this.#telling);
    const tell = () => {
      if (this.#untold.size === 0 || this.#ended) clearInterval(this.#telling);
      else this.component.setTriggerValue("report", [...this.#untold].join(" "));
    };
    this.#telling = setInterval(tell, TELL_EVERY_MS);
    tell();
  }

  // Sends what waits, one at a time; a second call while it is at work does nothing.
  async #work() {
    if (this.#sending) return;
    this.#sending = true;
    for (let tries = 1; !this.#ended; ) {
      const entry = this.#entries.find((one) => !one.refusal);
      if (!entry) break;
      tries = (await this.#one(entry, tries)) ? 1 : tries + 1;
    }
    this.#sending = false;
    this.#show();
  }

  // Resolves to whether the server has answered for good.
  async #one(entry, tries) {
    this.panel.goingOn();
    this.#show(entry, 0);
    const { outcome, sentence } = await send(
      `${this.address}/${entry.sha}`,
      entry,
      (bytes) => this.#show(entry, Math.min(1, bytes / entry.blob.size)),
      this.#stop.signal,
    );
    if (this.#ended) return true;
    if (outcome === "stored") {
      await takeOut(entry);
      this.#sent += 1;
      await this.#look();
      this.#untold.add(entry.sha);
      this.#tell();
      return true;
    }
    if (outcome === "refused") {
      await markRefused(entry, sentence);
      await this.#look();
      return true;
    }
    this.#show();
    const wait = (seconds) => this.panel.waiting(outcome === "signedOut", seconds, tries);
    await this.#pause.wait(pauseAfter(tries), wait);
    return false;
  }
}

export default function sendPhotos(component) {
  return mount(component, component.data.aircraft, (first) => new Gallery(first));
}
