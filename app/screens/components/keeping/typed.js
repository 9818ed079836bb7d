// What was typed, in the browser's own storage, by person, page and field; forgotten after a day.

const PREFIX = "gw-typed";
const FORGOTTEN_MS = 24 * 3600 * 1000;

// A browser that keeps nothing (a private window) only loses this comfort.
const quietly = (deed) => {
  try {
    return deed();
  } catch {
    return null;
  }
};

const placeOf = (scope, field) => `${PREFIX} ${scope} ${field}`;

// `base` is what stood in the field before the person typed.
export function remember(scope, field, value, base) {
  const entry = JSON.stringify({ value, base, at: Date.now() });
  quietly(() => localStorage.setItem(placeOf(scope, field), entry));
}

export function remembered(scope, field) {
  return quietly(() => JSON.parse(localStorage.getItem(placeOf(scope, field))));
}

export function forget(scope, field) {
  quietly(() => localStorage.removeItem(placeOf(scope, field)));
}

export function forgetOld() {
  quietly(() => {
    for (const name of Object.keys(localStorage)) {
      if (!name.startsWith(`${PREFIX} `)) continue;
      const entry = quietly(() => JSON.parse(localStorage.getItem(name)));
      if (!entry || Date.now() - entry.at > FORGOTTEN_MS) localStorage.removeItem(name);
    }
  });
}
