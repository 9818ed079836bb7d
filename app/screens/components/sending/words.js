// Every sentence of this widget.

const megabytes = (bytes) => (bytes / 1e6).toFixed(1);

export const words = {
  pick: "Take or choose the photo",
  pickAgain: "Choose a photo again",
  unreadable: "This device did not hand the photo over. Choose it again.",
  refused: "Not taken.",
  sending: "Sending the photo",
  kept: "No answer. The photo is kept on this device.",
  signedOut: "You are signed out. The photo is kept on this device. Sign in in another tab; it is then sent by itself.",
  stored: "The photo is stored.",
  unanswered: "The photo is stored. The server does not answer just now.",
  signedOutLater: "The photo is stored. You are signed out: sign in in another tab.",
  gone: (status) => `The server does not know this draft (${status}). Go back and begin again.`,
  ready: "The result is there.",
  amount: (sent, all) => `${megabytes(sent)} of ${megabytes(all)} MB`,
  again: (seconds, tries) => `Trying again in ${seconds} s, try ${tries + 1}.`,
  askingAgain: (seconds) => `Asking again in ${seconds} s.`,
  before: (count) => `${count} before yours.`,
  since: (seconds) => `${seconds} s`,
};

export function capital(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
