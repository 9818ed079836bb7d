// The photos picked for an aircraft, on this device until the server has each: in the browser's own
// database, so that a reload, sleep or a dead spot loses none.  Each is named by its hash, so that
// the same photo picked twice is one.

const JOURNAL = "gearwitness-gallery";
const ENTRIES = "entries";

// Reads a picked file at once and enters it; resolves to its entry.  Rejects where the device does not
// hand the file over, or has no room for it.
export async function enterFile(aircraft, file) {
  const bytes = await file.arrayBuffer();
  const sha = await hashOf(bytes);
  const entry = {
    key: `${aircraft} ${sha}`,
    aircraft,
    sha,
    name: file.name,
    blob: new Blob([bytes], { type: file.type }),
    at: Date.now(),
    refusal: "",
  };
  const before = await onEntries("readonly", (store) => store.get(entry.key));
  if (before && !before.refusal) return before;
  await onEntries("readwrite", (store) => store.put(entry));
  return entry;
}

// What waits for an aircraft, in the order in which it was picked.
export async function entriesOf(aircraft) {
  const all = await onEntries("readonly", (store) => store.getAll());
  return all.filter((entry) => entry.aircraft === aircraft).sort((one, other) => one.at - other.at);
}

export async function markRefused(entry, sentence) {
  entry.refusal = sentence;
  await onEntries("readwrite", (store) => store.put(entry));
}

export async function takeOut(entry) {
  await onEntries("readwrite", (store) => store.delete(entry.key));
}

async function hashOf(bytes) {
  const hash = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(hash, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function onEntries(mode, deed) {
  return new Promise((resolve, reject) => {
    const opening = indexedDB.open(JOURNAL, 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore(ENTRIES, { keyPath: "key" });
    opening.onerror = () => reject(opening.error);
    opening.onsuccess = () => {
      const base = opening.result;
      // Durable before it is said to be kept: a phone may be put away right after.
      const transaction = base.transaction(ENTRIES, mode, { durability: "strict" });
      const request = deed(transaction.objectStore(ENTRIES));
      transaction.oncomplete = () => { base.close(); resolve(request.result); };
      transaction.onerror = transaction.onabort = () => { base.close(); reject(transaction.error); };
    };
  });
}
