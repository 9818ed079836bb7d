// Marks outlive a reload of the page, in this tab only: Python may not have stored them yet.

const FOLDER = "gearwitness.places.";

// `data.keep` names person and try, so that nobody meets another's marks; null keeps nothing.
export function remember({ keep, photo }, places) {
  if (!keep) return;
  try {
    if (places?.some(Boolean)) sessionStorage.setItem(FOLDER + keep, JSON.stringify({ photo, places }));
    else sessionStorage.removeItem(FOLDER + keep);
  } catch {
    // A browser that keeps nothing only loses this comfort.
  }
}

export function recall({ keep, photo }) {
  if (!keep) return null;
  try {
    const kept = JSON.parse(sessionStorage.getItem(FOLDER + keep));
    return kept?.photo === photo ? kept.places : null;
  } catch {
    return null;
  }
}
