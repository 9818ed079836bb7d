// Paints the photo, the marks and the close view.  Nothing else is ever drawn on the photo.

// Told apart by form first: brackets, arrow heads, ring, hexagon, none of which a verdict uses.
// The colours stay apart for colour-blind eyes as well.
const FORMS = [
  { colour: "#56b4e9", path: brackets },
  { colour: "#f0e442", path: arrowHeads },
  { colour: "#e58fc2", path: (path, r) => path.arc(0, 0, r, 0, 2 * Math.PI) },
  { colour: "#f0a202", path: (path, r) => outline(path, r * 1.1, [0, 60, 120, 180, 240, 300]) },
];
const FORM_RADIUS = 15;
const GAP = 7; // around the point itself nothing is drawn, so that the edge under it stays seen
const CLOSE_GAP = 26;
const ARM = 32;
const HALO = [["#000", 3.2], ["#fff", 1.4]]; // dark and light, so that a mark stands out on any ground
const LINE = 1.6;
const THIN = 1.1;

function outline(path, radius, degrees) {
  degrees.forEach((angle, i) => {
    const turn = (angle * Math.PI) / 180;
    path[i ? "lineTo" : "moveTo"](radius * Math.cos(turn), radius * Math.sin(turn));
  });
  path.closePath();
}

function brackets(path, r) {
  for (const side of [-1, 1]) {
    path.moveTo(side * r * 0.45, -r);
    path.lineTo(side * r, -r);
    path.lineTo(side * r, r);
    path.lineTo(side * r * 0.45, r);
  }
}

// Like the ends of a dimension line, pointing at the place from both sides.
function arrowHeads(path, r) {
  for (const side of [-1, 1]) {
    path.moveTo(side * r * 0.5, 0);
    path.lineTo(side * r * 1.35, -r * 0.6);
    path.lineTo(side * r * 1.35, r * 0.6);
    path.closePath();
  }
}

function arms(path, from, to) {
  for (const [x, y] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
    path.moveTo(x * from, y * from);
    path.lineTo(x * to, y * to);
  }
}

function strokeWithHalo(context, path, colour, line = LINE) {
  for (const [ink, more] of [...HALO, [colour, 0]]) {
    context.strokeStyle = ink;
    context.lineWidth = line + more;
    context.stroke(path);
  }
}

// The mark's form as an image for a button.
export function paintForm(canvas, index, ratio) {
  const side = 40;
  canvas.width = canvas.height = side * ratio;
  const context = canvas.getContext("2d");
  context.setTransform(ratio, 0, 0, ratio, (side / 2) * ratio, (side / 2) * ratio);
  const path = new Path2D();
  FORMS[index % FORMS.length].path(path, FORM_RADIUS * 0.75);
  strokeWithHalo(context, path, FORMS[index % FORMS.length].colour);
}

function number(context, index, x, y) {
  context.font = "700 13px sans-serif";
  context.textAlign = "center";
  context.textBaseline = "middle";
  context.lineJoin = "round";
  context.strokeStyle = "#000";
  context.lineWidth = 4;
  context.strokeText(String(index + 1), x, y);
  context.fillStyle = "#fff";
  context.fillText(String(index + 1), x, y);
}

// `frame`: { width, height, scale, centre } in CSS px and photo px as in view.js.
export function paintPhoto(canvas, frame, tiles, ratio) {
  const [width, height] = [Math.round(frame.width * ratio), Math.round(frame.height * ratio)];
  if (canvas.width !== width || canvas.height !== height) Object.assign(canvas, { width, height });
  const context = canvas.getContext("2d");
  context.setTransform(1, 0, 0, 1, 0, 0);
  context.clearRect(0, 0, width, height);
  context.imageSmoothingQuality = "high";
  // Rounded to device pixels, neighbours meet without a seam; that moves nothing by more than half of one.
  const across = (x) => Math.round((frame.width / 2 + (x - frame.centre.x) * frame.scale) * ratio);
  const down = (y) => Math.round((frame.height / 2 + (y - frame.centre.y) * frame.scale) * ratio);
  for (const { piece, bitmap } of tiles.held()) {
    const [left, right] = [across(piece.x - 0.5), across(piece.x + piece.w - 0.5)];
    const [top, bottom] = [down(piece.y - 0.5), down(piece.y + piece.h - 0.5)];
    if (right <= 0 || bottom <= 0 || left >= width || top >= height) continue;
    context.drawImage(bitmap, left, top, right - left, bottom - top);
  }
  context.setTransform(ratio, 0, 0, ratio, 0, 0);
  return context;
}

export function paintMark(context, { x, y }, index, active) {
  const { colour, path: form } = FORMS[index % FORMS.length];
  const path = new Path2D();
  form(path, FORM_RADIUS);
  if (active) arms(path, GAP, ARM);
  context.save();
  context.translate(x, y);
  strokeWithHalo(context, path, colour, active ? LINE : THIN);
  number(context, index, FORM_RADIUS + 9, -FORM_RADIUS - 6);
  context.restore();
}

// Lines from the border of the close view towards its middle, which is the mark's point.  An edge that runs
// along a line would be hidden by it, so they end far enough from the middle to show it.
export function paintCrossHair(context, width, height, index) {
  const path = new Path2D();
  arms(path, CLOSE_GAP, Math.max(width, height));
  context.save();
  context.translate(width / 2, height / 2);
  strokeWithHalo(context, path, FORMS[index % FORMS.length].colour, THIN);
  context.restore();
}
