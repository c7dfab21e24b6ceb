// The night as numbers: where each machine is at any second, and what its tanks hold.

const night = JSON.parse(document.getElementById("night").textContent);

// Words come from the page's own table; a name in braces stands for a value.
const say = (words, values = {}) =>
  (night.words[words] ?? words).replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);

const KINDS = ["scrub", "drive", "reverse", "stop", "charge", "wait"];

// Floor behind a leg begins to dry at its end, or at `wet` where solution is left on it to act.
function legOf([kind, start, duration, solution, recovered, lane, block, stop, flat, wet]) {
  const points = [];
  for (let index = 0; index < flat.length; index += 2) points.push([flat[index], flat[index + 1]]);
  const along = [0];
  for (let index = 1; index < points.length; index += 1) {
    const [x, y] = points[index - 1];
    along.push(along[index - 1] + Math.hypot(points[index][0] - x, points[index][1] - y));
  }
  return { kind: KINDS[kind], start, end: start + duration, duration, solution, recovered, lane, block, stop, points, along, wet: wet ?? start + duration };
}

for (const machine of night.machines) machine.legs = machine.legs.map(legOf);

// The last leg that has begun by then; legs follow each other without a gap.
function legIndexAt(machine, time) {
  let low = 0;
  let high = machine.legs.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (machine.legs[middle].start <= time) low = middle;
    else high = middle - 1;
  }
  return low;
}

const shareOf = (leg, time) => (leg.duration > 0 ? Math.min(1, Math.max(0, (time - leg.start) / leg.duration)) : 1);

function placeOn(leg, share) {
  const { points, along } = leg;
  const way = share * along[along.length - 1];
  let index = 1;
  while (index < along.length - 1 && along[index] < way) index += 1;
  if (points.length === 1) return { x: points[0][0], y: points[0][1], index: 0, turn: null };
  const [x, y] = points[index - 1];
  const [dx, dy] = [points[index][0] - x, points[index][1] - y];
  const step = along[index] - along[index - 1];
  const part = step > 0 ? (way - along[index - 1]) / step : 0;
  return { x: x + part * dx, y: y + part * dy, index, turn: Math.atan2(dy, dx) };
}

function machineAt(machine, time) {
  const index = legIndexAt(machine, time);
  const leg = machine.legs[index];
  const before = index > 0 ? machine.legs[index - 1] : machine.first;
  const share = shareOf(leg, time);
  const place = placeOn(leg, share);
  // In reverse it faces away from where it goes; at a stop it stands as it came.
  if (leg.kind === "reverse" && place.turn !== null) place.turn += Math.PI;
  return {
    leg,
    share,
    ...place,
    solution: before.solution + share * (leg.solution - before.solution),
    recovered: before.recovered + share * (leg.recovered - before.recovered),
    home: time >= machine.end,
  };
}

function wordsFor({ leg, home }) {
  if (home) return say("Back at its place");
  const values = { lane: leg.lane, block: leg.block, stop: leg.stop };
  if (leg.kind === "scrub") return say("Scrubbing lane {lane}, block {block}", values);
  if (leg.kind === "stop") return leg.stop ? say("Dumping and filling, stop {stop}", values) : say("Standing");
  if (leg.kind === "charge") return say("Charging");
  if (leg.kind === "wait") return say("Waiting");
  if (leg.kind === "reverse") return say("Reversing, squeegee up");
  return leg.block ? say("Turning, block {block}", values) : say("Driving, deck up");
}

const digits = { minimumFractionDigits: night.litre.decimals, maximumFractionDigits: night.litre.decimals };
const litres = (value) => (Math.max(0, value) * night.litre.factor).toLocaleString(document.documentElement.lang, digits);

// Hours and minutes since the start, or by the clock once the start is known.
let startsAt = night.startsAt ?? null;
function clock(time) {
  const minutes = Math.floor((time + 0.5) / 60) + (startsAt ?? 0);
  const hours = Math.floor(minutes / 60);
  const shown = startsAt === null ? hours : hours % 24;
  return `${startsAt === null ? shown : String(shown).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}`;
}
