// The strip of time of the route page: blocks, dump stops and drying, with the two times that a reader may enter.

const lastEnd = Math.max(...night.machines.map((machine) => machine.end));
let drying = 600;

const dryBy = (machine) => Math.max(0, ...machine.legs.filter((leg) => leg.kind === "scrub").map((leg) => leg.end)) + drying;
const horizon = () => Math.max(lastEnd, ...night.machines.map(dryBy));

const nowLine = [];
function buildLine() {
  const strips = by("strips");
  strips.replaceChildren();
  strips.classList.toggle("many", night.machines.length > 2);
  nowLine.length = 0;
  const whole = horizon();
  const spot = (from, to, kind, strip, text = "") => {
    const part = made("div", kind, strip, text);
    part.style.left = `${(100 * from) / whole}%`;
    if (to !== null) part.style.width = `${(100 * (to - from)) / whole}%`;
    return part;
  };
  for (const machine of night.machines) {
    const strip = made("div", "strip", strips);
    spot(0, machine.end, "part drive", strip);
    for (const [first, last, start, end] of runsOf(machine, whole / Math.max(strip.clientWidth, 1))) {
      spot(start, end, "part scrub", strip, first === last ? first : `${first}–${last}`);
    }
    const wetFrom = Math.max(machine.end, dryBy(machine) - drying);
    if (dryBy(machine) > wetFrom) spot(wetFrom, dryBy(machine), "part drying", strip, say("drying"));
    for (const [, arrive, duration] of machine.stops) spot(arrive, arrive + duration, "part dump", strip);
    for (const [number, arrive, duration] of machine.stops) spot(arrive + duration / 2, null, "gem", strip, number);
    nowLine.push(made("div", "now", strip));
  }
  // Diamonds reach into the parts beside them, so a number needs room to spare.
  const spare = { scrub: 18, drying: 0 };
  for (const part of strips.querySelectorAll(".part")) {
    if (8 * part.textContent.length > part.clientWidth - (spare[part.classList[1]] ?? 0)) part.textContent = "";
  }
  buildHours(whole);
  by("time").max = Math.ceil(whole);
}

// Blocks too short to be seen on the strip are drawn as one run, up to the next dump stop.
function runsOf(machine, secondsPerPixel) {
  const runs = [];
  for (const [number, start, end] of machine.blocks) {
    const run = runs[runs.length - 1];
    const parted = run && machine.stops.some(([, arrive]) => arrive >= run[3] - 1 && arrive < end);
    const follows = run && number === run[1] + 1 && !parted;
    if (follows && Math.min(run[3] - run[2], end - start) < 20 * secondsPerPixel) [run[1], run[3]] = [number, end];
    else runs.push([number, number, start, end]);
  }
  return runs;
}

function buildHours(whole) {
  const hours = by("hours");
  hours.replaceChildren();
  const room = Math.max(1, Math.floor(hours.clientWidth / 80));
  const step = [300, 600, 900, 1800, 3600, 7200, 14400].find((each) => whole / each <= room) ?? 28800;
  // The last word needs room of its own.
  const last = whole * (1 - 100 / Math.max(hours.clientWidth, 200));
  for (let at = 0; at < last; at += step) made("span", "", hours, clock(at)).style.left = `${(100 * at) / whole}%`;
  made("span", "end", hours, say("dry {clock}", { clock: clock(whole) })).style.left = "100%";
}

function moveLine() {
  for (const line of nowLine) line.style.left = `${(100 * time) / horizon()}%`;
}

// A route knows of nothing beside what its machines do.
const alsoHappens = () => "";

by("drying").addEventListener("input", (event) => {
  const minutes = Number(event.target.value);
  if (!(minutes >= 1 && minutes <= 240)) return;
  drying = 60 * minutes;
  by("drying-origin").textContent = by("drying-origin").dataset.own;
  dryUpTo = 0;
  buildLine();
  goTo(time);
});
by("start").addEventListener("input", (event) => {
  const [hours, minutes] = event.target.value.split(":").map(Number);
  startsAt = event.target.value ? 60 * hours + minutes : null;
  for (const each of document.querySelectorAll("time[data-s]")) each.textContent = clock(Number(each.dataset.s));
  buildLine();
  show();
});

buildLine();
lookAtAll();
showTheme();
