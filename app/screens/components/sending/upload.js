// One try at sending the photo, and what its outcome means.

const STALLED_MS = 30000; // without a byte sent or an answer, a connection is dead

const OUTCOMES = {
  stored: "stored", // the server has every byte
  refused: "refused", // it will not have this photo, and says why
  signedOut: "signedOut", // it will, once the person has signed in again
  failed: "failed", // nothing is known: try again
};

// Sends the raw bytes.  XMLHttpRequest, because fetch does not tell how much has been sent.
// `sent(bytes)` is told the progress.  Resolves to { outcome, sentence }; never rejects but by `signal`.
export function send(address, { blob, name }, sent, signal) {
  return new Promise((resolve) => {
    const request = new XMLHttpRequest();
    let stall = 0;
    const alive = () => {
      clearTimeout(stall);
      stall = setTimeout(() => request.abort(), STALLED_MS);
    };
    const end = (result) => {
      clearTimeout(stall);
      resolve(result);
    };
    request.upload.onprogress = (event) => {
      alive();
      sent(event.loaded);
    };
    request.onload = async () => end(await judge(request, blob));
    request.onerror = request.onabort = () => end({ outcome: OUTCOMES.failed });
    signal.addEventListener("abort", () => request.abort(), { once: true });
    request.open("PUT", address);
    request.setRequestHeader("Content-Type", blob.type || "application/octet-stream");
    request.setRequestHeader("X-File-Name", encodeURIComponent(name));
    request.send(blob);
    alive();
  });
}

async function judge(request, blob) {
  const said = read(request.responseText);
  const { status } = request;
  if (status === 200) {
    const same = said?.bytes === blob.size && (await sameHash(blob, said.sha256));
    return { outcome: same ? OUTCOMES.stored : OUTCOMES.failed };
  }
  if (status === 401) return { outcome: OUTCOMES.signedOut };
  if (status >= 400 && status < 500 && ![408, 425, 429].includes(status)) {
    return { outcome: OUTCOMES.refused, sentence: said?.error ?? `The server refused the photo (${status}).` };
  }
  return { outcome: OUTCOMES.failed };
}

// Browsers offer the hash only where the connection is safe; elsewhere the count of bytes must do.
async function sameHash(blob, expected) {
  if (!globalThis.crypto?.subtle) return true;
  const hash = new Uint8Array(await crypto.subtle.digest("SHA-256", await blob.arrayBuffer()));
  return Array.from(hash, (byte) => byte.toString(16).padStart(2, "0")).join("") === expected;
}

function read(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
