// Every sentence of this widget.

export const words = {
  gallery: "Add photos from the gallery",
  counted: (sent, waiting) =>
    waiting ? `${sent} sent, ${waiting} kept on this device and still to send.` : `${sent} sent, none left on this device.`,
  galleryKept: "No answer. The photos are kept on this device and sent by themselves.",
  gallerySignedOut: "You are signed out. The photos are kept on this device. Sign in in another tab; they are then sent by themselves.",
  sendingOne: "being sent",
  keptOne: "kept on this device",
  unnamed: "Photo without a name",
  remove: "Remove",
  notKept: (names) => `This device did not hand over or could not keep: ${names.join(", ")}. Choose them again.`,
  noJournal: "This browser keeps nothing (a private window?), so photos would be lost by a reload. Use another window.",
  unsafe: "This connection is not safe, so photos cannot be named by their hash: open the address that begins with https.",
  again: (seconds, tries) => `Trying again in ${seconds} s, try ${tries + 1}.`,
};
