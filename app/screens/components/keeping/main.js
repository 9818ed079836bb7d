// What is typed is kept as it is typed, and put back into an empty field when the page is drawn anew.
// It is forgotten when the form was taken, and kept when the form was refused or never arrived.

import { mount } from "../shared/mounting.js";
import { fill, formOf, isKept, keptFields, labelOf, nameOf } from "./fields.js";
import { forget, forgetOld, remember, remembered } from "./typed.js";

const SETTLE_MS = 250;
const words = {
  kept: (labels) => `Typed before and still to be entered: ${labels.join(", ")}.`,
};

class Keeping {
  #stop = new AbortController();
  #looking = 0;
  #base = new WeakMap(); // what stood in a field before the person typed into it
  #looked = new WeakSet(); // the fields whose kept words were put back, if there were any
  #back = new Map(); // what was put back: name → element
  #submitted = null; // the names of a form's fields whose button was pressed
  #ran = false; // the page's script has begun to run since

  constructor(component) {
    this.scope = component.data.scope;
    this.root = component.parentElement.querySelector(".keeping");
    forgetOld();
    const { signal } = this.#stop;
    document.addEventListener("focusin", ({ target }) => this.#met(target), { signal, capture: true });
    document.addEventListener("input", (event) => this.#typed(event), { signal, capture: true });
    document.addEventListener("click", (event) => this.#pressed(event), { signal, capture: true });
    this.root.querySelector("button").addEventListener("click", () => this.#empty(), { signal });
    this.observer = new MutationObserver(() => this.#changed());
    this.observer.observe(document.body, {
      childList: true,
      subtree: true,
      attributeFilter: ["data-test-script-state"],
    });
    this.#changed();
  }

  update() {}

  destroy() {
    this.#stop.abort();
    this.observer.disconnect();
    clearTimeout(this.#looking);
  }

  // Before the first key: a person may type before the page has come to rest, and what he
  // has typed by then must not be taken for what stood there.
  #met(field) {
    if (isKept(field) && !this.#base.has(field)) this.#base.set(field, field.value);
  }

  #typed({ target, isTrusted }) {
    if (!isTrusted || !isKept(target)) return;
    const name = nameOf(target);
    if (!this.#base.has(target)) this.#base.set(target, ""); // it had the focus before this was here
    const base = this.#base.get(target);
    if (target.value === base) forget(this.scope, name);
    else remember(this.scope, name, target.value, base);
  }

  #pressed(event) {
    const form = event.target.closest?.("[data-testid=stFormSubmitButton]") && formOf(event.target);
    if (!form) return;
    this.#submitted = [...form.querySelectorAll("input, textarea")].filter(isKept).map(nameOf);
    this.#ran = false;
  }

  #changed() {
    if (this.#running) this.#ran = true;
    // Not begun anew at every change: a page that moves all the time is looked at too.
    this.#looking ||= setTimeout(() => this.#settled(), SETTLE_MS);
  }

  get #running() {
    return document.querySelector("[data-testid=stApp]")?.dataset.testScriptState === "running";
  }

  #settled() {
    this.#looking = 0;
    if (this.#running) this.#changed();
    else this.#look();
  }

  #look() {
    if (this.#submitted && this.#ran) this.#entered(this.#submitted);
    for (const field of keptFields()) {
      if (this.#looked.has(field) || field === document.activeElement) continue;
      this.#looked.add(field);
      this.#met(field);
      const name = nameOf(field);
      const kept = remembered(this.scope, name);
      if (!kept || field.value !== kept.base) continue;
      fill(field, kept.value);
      this.#back.set(name, field);
    }
    this.#tell();
  }

  // The page was run with the form.  A complaint means that nothing was entered.
  #entered(names) {
    this.#submitted = null;
    if (document.querySelector(".stMain [role=alert]")) return;
    for (const name of names) {
      forget(this.scope, name);
      this.#back.delete(name);
    }
  }

  #empty() {
    for (const [name, field] of this.#back) {
      forget(this.scope, name);
      fill(field, this.#base.get(field) ?? "");
    }
    this.#back.clear();
    this.#tell();
  }

  #tell() {
    const labels = [...this.#back.values()].filter((field) => field.isConnected).map(labelOf);
    this.root.hidden = labels.length === 0;
    const sentence = labels.length ? words.kept(labels) : "";
    const told = this.root.querySelector("p");
    if (told.textContent !== sentence) told.textContent = sentence;
  }
}

export default function keepTyped(component) {
  return mount(component, component.data.scope, (first) => new Keeping(first));
}
