// The floor: a window on the plan, the tint of what is scrubbed, and the machines on it.

const picture = document.getElementById("picture");
const plan = picture.querySelector("svg");
const canvas = document.getElementById("tint");
const brush = canvas.getContext("2d");
const dryCanvas = document.createElement("canvas");
const dryBrush = dryCanvas.getContext("2d");
const SVG_NAME = plan.namespaceURI;
const WET_SHADES = 16;
const MOST_PIXELS_A_METRE = 90;

const drawn = (name, kind, parent) => {
  const made = document.createElementNS(SVG_NAME, name);
  made.setAttribute("class", kind);
  parent.append(made);
  return made;
};

const scrubbed = night.machines
  .flatMap((machine) => machine.legs.filter((leg) => leg.kind === "scrub"))
  .sort((one, other) => one.wet - other.wet);
for (const leg of scrubbed) {
  leg.path = new Path2D();
  leg.points.forEach(([x, y], index) => (index ? leg.path.lineTo(x, y) : leg.path.moveTo(x, y)));
}

const view = { x: 0, y: 0, wide: night.wide, high: night.high, scale: 1, least: 1 };
let shades = [];
let ink = {};
let dryUpTo = 0;

const approach = drawn("path", "approach", plan);
const ring = drawn("path", "ring", plan);
for (const machine of night.machines) {
  machine.mark = drawn("g", "mark machine", plan);
  drawn("path", "", machine.mark).setAttribute("d", "M-13-9H6L15 0 6 9H-13Z");
  const label = drawn("text", "", machine.mark);
  label.setAttribute("y", 5);
  label.setAttribute("x", -2);
  label.textContent = night.machines.length > 1 ? machine.number : "";
}
const marks = [...plan.querySelectorAll(".mark:not(.machine)")].map((mark) => ({
  mark,
  x: Number(mark.dataset.x),
  y: Number(mark.dataset.y),
  kind: mark.classList[1],
  block: mark.dataset.block,
  figures: mark.querySelector(".number")?.textContent.length ?? 0,
  name: mark.querySelector(".name"),
  lines: [...(mark.querySelector(".called")?.children ?? [])].map((line) => line.textContent.length),
  spots: (mark.dataset.spots ?? "").split(" ").filter(Boolean).map((spot) => spot.split(",").map(Number)),
}));
const crowded = marks.filter(({ kind }) => kind === "block").length > 40;
// Who keeps its place where marks would cover each other, and the room each needs, in pixels.
const ROOM = { stop: [44, 40], drain: [44, 40], parking: [30, 30], slope: [0, 17], left: [24, 24], block: [34, 34], point: [34, 30], called: [0, 17], crumb: [24, 24], start: [0, 0] };
marks.sort((one, other) => Object.keys(ROOM).indexOf(one.kind) - Object.keys(ROOM).indexOf(other.kind));

function readColours() {
  const style = getComputedStyle(document.documentElement);
  const read = (name) => style.getPropertyValue(name).trim();
  const parts = (colour) => [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16));
  const [wet, dry] = [parts(read("--wet")), parts(read("--dry"))];
  shades = Array.from({ length: WET_SHADES + 1 }, (_, index) => {
    const share = index / WET_SHADES;
    return `rgb(${wet.map((value, at) => Math.round(value + share * (dry[at] - value))).join(" ")})`;
  });
  ink = { accent: read("--accent") };
  dryUpTo = 0;
}

// One canvas stroke for a set of legs, the deck's width wide, with a thin line down the middle.
function stroke(target, path, colour) {
  target.lineCap = "butt";
  target.lineJoin = "round";
  target.lineWidth = night.deck;
  target.strokeStyle = colour;
  target.stroke(path);
}

function spine(target, path) {
  // Lines closer than this would hide the tint.
  if (view.scale * night.deck < 8) return;
  target.lineWidth = 1.5 / view.scale;
  target.strokeStyle = ink.accent;
  target.stroke(path);
}

function ready(target) {
  const dots = view.scale * (window.devicePixelRatio || 1);
  target.setTransform(1, 0, 0, 1, 0, 0);
  target.clearRect(0, 0, canvas.width, canvas.height);
  target.setTransform(dots, 0, 0, dots, -view.x * dots, -view.y * dots);
}

// What is dry already only grows while time runs on, so it is kept on a canvas of its own.
function keepDry(time, drying) {
  let count = dryUpTo;
  while (count < scrubbed.length && scrubbed[count].wet + drying <= time) count += 1;
  while (count > 0 && scrubbed[count - 1].wet + drying > time) count -= 1;
  if (count < dryUpTo || dryUpTo === 0) {
    ready(dryBrush);
    dryUpTo = 0;
  }
  if (count > dryUpTo) {
    const path = new Path2D();
    for (const leg of scrubbed.slice(dryUpTo, count)) path.addPath(leg.path);
    stroke(dryBrush, path, shades[WET_SHADES]);
    spine(dryBrush, path);
  }
  dryUpTo = count;
}

function drawTint(time, drying) {
  keepDry(time, drying);
  ready(brush);
  brush.save();
  brush.setTransform(1, 0, 0, 1, 0, 0);
  brush.drawImage(dryCanvas, 0, 0);
  brush.restore();
  const lines = new Path2D();
  for (let index = dryUpTo; index < scrubbed.length; index += 1) {
    const leg = scrubbed[index];
    if (leg.end <= time) {
      stroke(brush, leg.path, shades[Math.max(0, Math.floor((WET_SHADES * (time - leg.wet)) / drying))]);
      lines.addPath(leg.path);
    } else if (leg.start < time) {
      const path = new Path2D();
      const place = placeOn(leg, shareOf(leg, time));
      leg.points.slice(0, Math.max(1, place.index)).forEach(([x, y], at) => (at ? path.lineTo(x, y) : path.moveTo(x, y)));
      path.lineTo(place.x, place.y);
      stroke(brush, path, shades[0]);
      lines.addPath(path);
    }
  }
  spine(brush, lines);
}

function placeMachines(states) {
  night.machines.forEach((machine, index) => {
    const { x, y, turn } = states[index];
    machine.turn = turn ?? machine.turn ?? 0;
    const degrees = (machine.turn * 180) / Math.PI;
    // The number on it stays upright for the reader.
    machine.mark.setAttribute("transform", `translate(${x} ${y}) scale(${1 / view.scale}) rotate(${degrees})`);
    machine.mark.lastChild.setAttribute("transform", `rotate(${-degrees} -2 0)`);
  });
}

const onScreen = (x, y) => [(x - view.x) * view.scale, (y - view.y) * view.scale];
const covers = (taken, left, top, wide, high) =>
  taken.some(([a, b, w, h]) => Math.abs(a - left) < (w + wide) / 2 && Math.abs(b - top) < (h + high) / 2);

// A name goes to the first of its places that lies in the picture and is free.
function placeName(mark, spots, lines, taken, across, down) {
  const label = mark.firstElementChild;
  for (const line of label.children) line.setAttribute("display", "inline");
  if (placedName(mark, spots, lines, taken, across, down) || lines.length === 1) return;
  // Where a ramp's name has no room its slope still may.
  label.firstElementChild.setAttribute("display", "none");
  placedName(mark, spots, lines.slice(-1), taken, across, down);
}

function placedName(mark, spots, lines, taken, across, down) {
  const [wide, high] = [7.5 * Math.max(...lines) + 8, ROOM.called[1] * lines.length + 5];
  const free = spots.find(([x, y]) => {
    const [left, top] = onScreen(x, y);
    const inside = left > wide / 2 && left < across - wide / 2 && top > high / 2 && top < down - high / 2;
    return inside && !covers(taken, left, top, wide, high);
  });
  mark.setAttribute("display", free ? "inline" : "none");
  if (!free) return false;
  mark.setAttribute("transform", `translate(${free[0]} ${free[1]}) scale(${1 / view.scale})`);
  taken.push([...onScreen(...free), wide, high]);
  return true;
}

function placeStationName(name, left, top, across, visible, taken) {
  // In a small picture a name would cover too much; at its edge it grows inwards.
  name.setAttribute("display", visible ? "inline" : "none");
  if (!visible) return;
  const high = 15 * (name.children.length - 1);
  const wide = 7.5 * Math.max(...[...name.children].map((line) => line.textContent.length));
  // At the upper edge it stands beside the signs instead; dump stops stand below them.
  const beside = top < 28 + high;
  const signs = 26 * (name.parentElement.children.length - 1);
  const anchor = left < 90 || beside ? "start" : left > across - 90 ? "end" : "middle";
  const x = beside ? signs - 6 : { start: -10, middle: 0, end: 10 }[anchor];
  name.style.textAnchor = anchor;
  for (const line of name.children) line.setAttribute("x", x);
  name.setAttribute("y", beside ? 4 - high / 2 : -16 - high);
  const middle = left + x + { start: wide / 2, middle: 0, end: -wide / 2 }[anchor];
  taken.push([middle, top + (beside ? 0 : -21 - high / 2), wide, 17 + high]);
}

// A parking place that dump stops would cover moves down, else aside.
const besides = [[0, 0], [0, 36], [0, 60], [-60, 0], [60, 0]];
function uncovered(left, top, [wide, high], taken) {
  const [right, down] = besides.find(([x, y]) => !covers(taken, left + x, top + y, wide, high)) ?? besides[0];
  return [left + right, top + down];
}

function placeMarks() {
  const taken = [];
  const [across, down] = [view.wide * view.scale, view.high * view.scale];
  const near = view.scale > 1.05 * view.least;
  const small = crowded && !near && across < 700;
  for (const { mark, x, y, kind, block, figures, name, lines, spots } of marks) {
    if (spots.length) {
      placeName(mark, spots, lines, taken, across, down);
      continue;
    }
    const size = kind === "block" || kind === "left" ? (small ? 0.72 : crowded && !near ? 0.82 : 1) : 1;
    const wide = size * (kind === "block" ? 18 * figures + 8 : ROOM[kind][0]);
    const high = size * ROOM[kind][1];
    let [left, top] = onScreen(x, y);
    if (kind === "block" && left > 0 && left < across && top > 0 && top < down) {
      // A number at the picture's edge moves in rather than being cut.
      left = Math.min(Math.max(left, wide / 2), across - wide / 2);
      top = Math.min(Math.max(top, high / 2), down - high / 2);
    }
    if (kind === "parking") [left, top] = uncovered(left, top, ROOM.parking, taken);
    const wanted = block !== undefined && block === chosen;
    const covered = wide > 0 && covers(taken, left, top, wide, high);
    // A drain and its stops share one point on purpose; crumbs and starts are for a closer look.
    const far = (kind === "start" && view.scale < (crowded ? 20 : 5)) || (kind === "crumb" && crowded && view.scale < 12);
    const hidden = far || (covered && !wanted && kind !== "drain");
    mark.setAttribute("display", hidden ? "none" : "inline");
    mark.setAttribute("transform", `translate(${view.x + left / view.scale} ${view.y + top / view.scale}) scale(${size / view.scale})`);
    if (name && !hidden) placeStationName(name, left, top, across, near || across > 700 || !crowded, taken);
    // Each machine's diamonds stand in a row of their own below the drain.
    const rows = kind === "stop" ? Math.max(1, mark.querySelectorAll(".of").length) : 0;
    for (let row = 0; row < rows; row += 1) taken.push([left, top + 40 + 51 * row, 64, 50]);
    if (!hidden && wide && !rows) taken.push([left, top, wide, high]);
  }
}

// Show a part of the floor: its middle, and how many pixels a metre takes.
function look(x, y, scale) {
  const box = picture.getBoundingClientRect();
  if (box.width < 1 || box.height < 1) return;
  view.least = Math.min(box.width / night.wide, box.height / night.high);
  view.scale = Math.min(Math.max(scale, view.least), Math.max(MOST_PIXELS_A_METRE, view.least));
  view.wide = box.width / view.scale;
  view.high = box.height / view.scale;
  const within = (value, span, whole) => (span >= whole ? (whole - span) / 2 : Math.min(Math.max(value - span / 2, 0), whole - span));
  view.x = within(x, view.wide, night.wide);
  view.y = within(y, view.high, night.high);
  const dots = window.devicePixelRatio || 1;
  for (const each of [canvas, dryCanvas]) {
    each.width = Math.round(box.width * dots);
    each.height = Math.round(box.height * dots);
  }
  plan.setAttribute("viewBox", `${view.x} ${view.y} ${view.wide} ${view.high}`);
  const near = view.scale > 1.05 * view.least;
  picture.classList.toggle("near", near);
  plan.classList.toggle("near", view.scale * night.deck > 20);
  // Lanes closer than this would run into one grey; blocks keep their outlines.
  plan.classList.toggle("far", view.scale * night.deck < 4);
  plan.classList.toggle("furthest", view.scale * night.deck < 2.5);
  for (const hatch of plan.querySelectorAll("pattern")) {
    hatch.setAttribute("width", 9 / view.scale);
    hatch.setAttribute("height", 9 / view.scale);
  }
  dryUpTo = 0;
  placeMarks();
}

const lookAtAll = () => look(night.wide / 2, night.high / 2, 0);
const zoom = (times, x = view.x + view.wide / 2, y = view.y + view.high / 2) => {
  const [dx, dy] = [view.x + view.wide / 2 - x, view.y + view.high / 2 - y];
  const before = view.scale;
  const after = Math.min(Math.max(before * times, view.least), MOST_PIXELS_A_METRE);
  look(x + (dx * before) / after, y + (dy * before) / after, after);
};
const floorPoint = (event) => {
  const box = picture.getBoundingClientRect();
  return [view.x + (event.clientX - box.left) / view.scale, view.y + (event.clientY - box.top) / view.scale];
};
