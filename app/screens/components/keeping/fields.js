// Which fields of the page are kept, what they are called, and how one is filled so that Streamlit knows.
// Only a form's: what it holds is lost by a reload, and its being entered tells when to forget it.

const KINDS = ["stTextInput", "stTextArea", "stNumberInput"];
const KEPT = KINDS.flatMap((kind) => [
  `.stMain [data-testid=stForm] [data-testid=${kind}] input`,
  `.stMain [data-testid=stForm] [data-testid=${kind}] textarea`,
]).join(", ");

// A password is kept nowhere.
export const isKept = (element) => element.matches?.(KEPT) && element.type !== "password" && nameOf(element) !== "";

export const keptFields = () => [...document.querySelectorAll(KEPT)].filter(isKept);

// Streamlit writes a widget's key into a class beside it.
export function nameOf(element) {
  const holder = element.closest('[class*="st-key-"]');
  return [...(holder?.classList ?? [])].find((name) => name.startsWith("st-key-"))?.slice(7) ?? "";
}

export const labelOf = (element) => element.getAttribute("aria-label") ?? "";

export const formOf = (element) => element.closest("[data-testid=stForm]");

// As if the person had typed it and gone on: the setter that React has put over the element's own is passed by.
export function fill(element, value) {
  const kind = element instanceof HTMLTextAreaElement ? HTMLTextAreaElement : HTMLInputElement;
  Object.getOwnPropertyDescriptor(kind.prototype, "value").set.call(element, value);
  element.dispatchEvent(new Event("input", { bubbles: true }));
  element.dispatchEvent(new FocusEvent("focusout", { bubbles: true }));
}
