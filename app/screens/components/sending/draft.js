// What the server knows of the draft.

// Resolves to { state, stage, result_ready }, to { status } where the server answered otherwise,
// or to { status: 0 } where it did not answer at all.
export async function ask(address, signal) {
  try {
    const answer = await fetch(address, {
      signal,
      cache: "no-store",
      headers: { Accept: "application/json" },
      redirect: "manual", // to the sign-in page; its HTML is no state
    });
    if (answer.type === "opaqueredirect") return { status: 401 };
    return answer.ok ? await answer.json() : { status: answer.status };
  } catch {
    return { status: 0 };
  }
}

export function hasPhoto(draft) {
  return Boolean(draft.state) && draft.state.toLowerCase() !== "awaiting_photo";
}

export function unanswered({ status }) {
  return status === 0 || status >= 500;
}
