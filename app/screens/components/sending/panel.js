// What the widget shows.  Each method is one state of the whole; a listener hears its sentence once.

import { capital, words } from "./words.js";

export class Panel {
  constructor(root, stages) {
    this.find = (selector) => root.querySelector(selector);
    this.stages = stages;
    const steps = stages.map((stage) => {
      const step = document.createElement("li");
      step.textContent = capital(stage);
      return step;
    });
    this.find(".stages").replaceChildren(...steps);
  }

  // Ready for a photo; `refusal` is the server's sentence about the one before, or none.
  pick(refusal) {
    this.#only({ pick: true, refusal: Boolean(refusal) });
    this.find(".refusal b").textContent = refusal ? words.refused : "";
    this.find(".refusal span").textContent = refusal ?? "";
    this.find(".pick span").textContent = refusal ? words.pickAgain : words.pick;
    this.#say(refusal ? "" : words.pick);
  }

  sending(sent, all) {
    this.#only({ bar: true, amount: true });
    this.#what(words.sending);
    const share = all ? Math.round((100 * sent) / all) : 0;
    this.find(".bar i").style.width = `${share}%`;
    this.find(".bar").setAttribute("aria-valuenow", String(share));
    this.find(".amount").textContent = words.amount(sent, all);
  }

  // The photo could not be sent; `seconds` until the next try.
  waiting(signedOut, seconds, tries) {
    this.#only({ again: true, now: true, "ways a": signedOut });
    this.#what(signedOut ? words.signedOut : words.kept);
    this.find(".going .again").textContent = words.again(seconds, tries);
  }

  // The server has the photo and is at `stage`, since `seconds`; `before` others are read first.
  measuring(stage, seconds, before = 0) {
    const at = this.stages.indexOf(stage);
    this.#only({ stages: at >= 0, amount: true });
    const now = stage ? `${capital(stage)} …` : before ? words.before(before) : "";
    this.#what(now ? `${words.stored} ${now}` : words.stored);
    this.find(".amount").textContent = words.since(seconds);
    this.find(".stages").querySelectorAll("li").forEach((step, index) => {
      step.className = index < at ? "done" : index === at ? "now" : "";
      if (index === at) step.setAttribute("aria-current", "step");
      else step.removeAttribute("aria-current");
    });
  }

  // The server has the photo, but asking for the draft's state had no good answer.
  unanswered(status, seconds) {
    this.#only({ again: true, now: true, "ways a": status === 401 });
    this.#what(status === 401 ? words.signedOutLater : status >= 400 && status < 500 ? words.gone(status) : words.unanswered);
    this.find(".going .again").textContent = words.askingAgain(seconds);
  }

  ready() {
    this.#only({ show: true });
    this.#what(words.ready);
  }

  #only(shown) {
    this.find(".refusal").hidden = !shown.refusal;
    this.find(".pick").hidden = !shown.pick;
    this.find(".going").hidden = Boolean(shown.pick);
    this.find(".bar").hidden = !shown.bar;
    this.find(".amount").hidden = !shown.amount;
    this.find(".going .again").hidden = !shown.again;
    this.find(".stages").hidden = !shown.stages;
    this.find('[data-deed="now"]').hidden = !shown.now;
    this.find('[data-deed="show"]').hidden = !shown.show;
    this.find(".ways a").hidden = !shown["ways a"];
  }

  #what(sentence) {
    this.find(".what").textContent = sentence;
    this.#say(sentence);
  }

  #say(sentence) {
    if (this.find(".spoken").textContent !== sentence) this.find(".spoken").textContent = sentence;
  }
}
