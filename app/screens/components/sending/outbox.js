// The photo on this device until the server has it: in memory, and in the browser's
// own database, so that a reload or a killed tab does not lose it.

const NAME = "gearwitness";
const STORE = "photos";
const OLD_MS = 14 * 24 * 3600 * 1000; // a draft that was left alone for so long is not taken up again

// Reads the bytes at once: what a phone hands over from its gallery may be unreadable a minute later.
// The type and name are the browser's word for them; the bytes stay as they are.
export async function takeIn(file) {
  const bytes = await file.arrayBuffer();
  return { blob: new Blob([bytes], { type: file.type }), name: file.name };
}

export async function keep(draft, photo) {
  await inStore("readwrite", (store) => store.put({ ...photo, at: Date.now() }, draft)).catch(() => {});
}

export async function kept(draft) {
  return inStore("readonly", (store) => store.get(draft)).catch(() => undefined);
}

export async function drop(draft) {
  await inStore("readwrite", (store) => store.delete(draft)).catch(() => {});
}

export async function dropOld() {
  await inStore("readwrite", (store) => {
    const request = store.openCursor();
    request.onsuccess = () => {
      const cursor = request.result;
      if (!cursor) return;
      if (Date.now() - cursor.value.at > OLD_MS) cursor.delete();
      cursor.continue();
    };
    return request;
  }).catch(() => {});
}

// A browser that keeps nothing (a private window) only loses this comfort.
function inStore(mode, deed) {
  return new Promise((resolve, reject) => {
    const opening = indexedDB.open(NAME, 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore(STORE);
    opening.onerror = () => reject(opening.error);
    opening.onsuccess = () => {
      const base = opening.result;
      const transaction = base.transaction(STORE, mode);
      const request = deed(transaction.objectStore(STORE));
      transaction.oncomplete = () => { base.close(); resolve(request.result); };
      transaction.onerror = transaction.onabort = () => { base.close(); reject(transaction.error); };
    };
  });
}
