// Every sentence of this widget.

const tenth = (value) => (Math.round(value * 10) / 10 + 0).toFixed(1);

export function placeInWords(place) {
  return place ? `${tenth(place.x)} across, ${tenth(place.y)} down` : "not placed";
}

export function spoken(marks) {
  if (marks.grows && !marks.at()) return "No mark is set.";
  return `${name(marks, marks.active)}: ${placeInWords(marks.at())}.`;
}

// What the person may do next, in one sentence or two.
export function hint(marks, handedOver) {
  const active = marks.at();
  if (marks.all && handedOver && marks.set.length) return "These places are in use. To correct one, move its mark and use them again.";
  if (marks.grows) return growing(marks, active);
  if (!active) return `${name(marks, marks.active)}: go close, then tap its place.`;
  if (!active.fine) return `${name(marks, marks.active)}: set from afar. Go closer and set it again.`;
  const open = marks.places.findIndex((place) => !place);
  if (open >= 0) return `Drag it slowly or use the arrows until the close view fits. Then choose mark ${open + 1}.`;
  return "Check each mark in the close view, then use the places.";
}

// Why the places cannot be used yet, or null.
export function objection(marks) {
  if (marks.grows && !marks.all) return growing(marks, marks.at());
  const { open } = marks;
  if (!marks.grows && open >= 0) return `${name(marks, open)}: not placed. Choose it and tap its place.`;
  const rough = marks.set.findIndex(({ fine }) => !fine);
  if (rough >= 0) return `${name(marks, rough)}: set from afar. Choose it, go closer and set it again.`;
  return null;
}

// As many marks as are wanted, one after the other.
function growing(marks, active) {
  const [label] = marks.labels;
  const count = marks.set.length;
  if (!count) return `Tap the first ${label}. From afar, the first tap brings it closer.`;
  const lacking = marks.least - count;
  if (lacking > 0) return `${count} set, ${lacking} more at least: tap the next ${label}.`;
  if (!active || marks.open < 0) return `${count} set. Check each, then use these places.`;
  return `${count} set. Tap the next ${label}, or use these places.`;
}

export const CAME_CLOSER = "The photo came closer. Tap the place now.";

export function noMore(marks) {
  return `${marks.labels.length} are set, and no more are taken: move one, or remove it.`;
}

export function trouble(status) {
  if (status === 401) return "Signed out: the photo is no longer shown. Sign in again in another tab.";
  if (status === 403 || status === 404) return `The server does not show this photo (${status}).`;
  return "A part of the photo did not load. Set no mark where it is missing or blurred.";
}

export function again(seconds) {
  return `Trying again in ${seconds} s.`;
}

function name(marks, index) {
  return `Mark ${index + 1}, ${marks.labels[index]}`;
}
