// What stands around the photo: the marks to choose from, the hint, the words for a listener.

import { paintForm } from "./draw.js";
import { again, hint, objection, placeInWords, spoken, trouble } from "./words.js";

const SPEAK_MS = 400; // a mark in motion is spoken of when it rests

export class Panel {
  #speaking = 0;

  constructor(root, marks, choose) {
    this.find = (selector) => root.querySelector(selector);
    this.marks = marks;
    this.buttons = marks.labels.map((label, index) => this.#button(label, index, choose));
    this.find(".marks").replaceChildren(...this.buttons);
    root.querySelector(".sheet").classList.toggle("grows", marks.grows);
    this.find('[data-deed="remove"]').hidden = !marks.grows;
  }

  destroy() {
    clearTimeout(this.#speaking);
    this.find(".marks").replaceChildren();
  }

  #button(label, index, choose) {
    const button = document.createElement("button");
    const [form, name, place] = ["canvas", "b", "span"].map((tag) => document.createElement(tag));
    button.type = "button";
    button.className = "mark";
    form.setAttribute("aria-hidden", "true");
    paintForm(form, index, devicePixelRatio);
    name.textContent = this.marks.grows ? String(index + 1) : `${index + 1}  ${label}`;
    if (this.marks.grows) button.setAttribute("aria-label", `Mark ${index + 1}, ${label}`);
    button.append(form, name, place);
    button.addEventListener("click", () => choose(index));
    button.addEventListener("focus", () => choose(index)); // Tab goes from mark to mark
    return button;
  }

  // Shows the marks as they are; `handedOver` tells that just these places were used, `step` the arrows' px.
  tell(handedOver, step) {
    const { marks } = this;
    this.buttons.forEach((button, index) => {
      button.setAttribute("aria-pressed", String(index === marks.active && (!marks.grows || Boolean(marks.at()))));
      button.hidden = marks.grows && !marks.at(index);
      button.querySelector("span").textContent = placeInWords(marks.at(index));
    });
    this.find(".hint").textContent = hint(marks, handedOver);
    this.find('[data-deed="step"]').textContent = `Step ${step} px`;
    this.find('[data-deed="undo"]').setAttribute("aria-disabled", String(!marks.canUndo));
    this.find('[data-deed="remove"]').setAttribute("aria-disabled", String(!marks.at()));
    this.find('[data-deed="use"]').setAttribute("aria-disabled", String(Boolean(objection(marks))));
    this.#say(spoken(marks), SPEAK_MS);
  }

  object(sentence) {
    this.find(".hint").textContent = sentence;
    this.#say(sentence, 0);
  }

  // `what`: { status, seconds } of pieces that did not load, or null.
  tellTrouble(what) {
    const box = this.find(".trouble");
    if (what) {
      const sentence = trouble(what.status);
      if (box.querySelector(".what").textContent !== sentence) box.querySelector(".what").textContent = sentence;
      box.querySelector(".again").textContent = again(what.seconds);
    }
    box.hidden = !what;
  }

  #say(sentence, ms) {
    clearTimeout(this.#speaking);
    this.#speaking = setTimeout(() => { this.find(".spoken").textContent = sentence; }, ms);
  }
}
