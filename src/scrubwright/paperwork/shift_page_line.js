// What a shift adds to a route: the night line and the curves below it, the charge of each machine, and what is
// closed to people. The drawings are there already; here they follow the time, and words without room give way.

const drying = night.drying;
const horizon = () => night.span;
const lines = by("lines");
const slider = by("time");
slider.max = Math.ceil(night.span);

// --- the charge beside the tanks ---
for (const machine of night.machines) {
  const meter = made("div", "tank charged", machine.shown.box);
  machine.shown.charge = { text: made("span", "", meter), level: made("i", "", made("div", "level", meter)) };
}

// Straight lines between points [time, value].
function valueAt(points, at) {
  let low = 0;
  let high = points.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (points[middle][0] <= at) low = middle;
    else high = middle - 1;
  }
  const [[from, value], [until, next]] = [points[low], points[Math.min(low + 1, points.length - 1)]];
  return until > from ? value + ((at - from) / (until - from)) * (next - value) : value;
}

const percent = (share) => Math.round(100 * Math.max(0, share));
const chargeAt = (index) => valueAt(night.charges[index], time);
const alsoHappens = (index) => say("Charge {now} %", { now: percent(chargeAt(index)) });

// --- words that find room ---
function buildLine() {
  for (const part of lines.querySelectorAll(".part")) {
    const word = part.querySelector("[data-fit]");
    if (!word) continue;
    word.textContent = word.dataset.fit;
    if (word.getComputedTextLength() + 6 > part.getBoundingClientRect().width) word.textContent = "";
  }
  const before = lines.querySelector(".before");
  if (before && before.getBoundingClientRect().left < lines.getBoundingClientRect().left) {
    before.setAttribute("class", "behind");
    before.setAttribute("x", before.dataset.behind);
    before.setAttribute("dx", 8);
  }
  for (const row of lines.querySelectorAll(".calls")) placeCalls([...row.children]);
}

// One word for each thing that is done, above the first stretch of it with room for the word.
function placeCalls(calls) {
  const taken = [];
  const shown = new Set();
  const left = lines.getBoundingClientRect().left;
  for (const call of calls) {
    const box = call.getBoundingClientRect();
    const free = box.left >= left && taken.every(([from, until]) => box.right + 6 < from || box.left - 6 > until);
    const fits = free && !shown.has(call.dataset.kind);
    call.setAttribute("visibility", fits ? "visible" : "hidden");
    if (!fits) continue;
    shown.add(call.dataset.kind);
    taken.push([box.left, box.right]);
  }
}

// --- everything at one second ---
const nows = [...document.querySelectorAll(".row .now")];
const dots = [...document.querySelectorAll(".row .at")].map((dot) => {
  const frame = [...dot.parentElement.querySelectorAll(".frame")].map((each) => Number(each.getAttribute("y1")));
  return { dot, of: dot.dataset.of, index: Number(dot.dataset.machine), top: Math.min(...frame), foot: Math.max(...frame) };
});
const timed = [...document.querySelectorAll("[data-close]")].map((piece) => ({
  piece, close: Number(piece.dataset.close), open: Number(piece.dataset.open), name: piece.dataset.name, blocks: piece.dataset.blocks,
}));

// People read when they may walk again, so a minute that has begun counts whole.
function closedWords([name, { numbers, until }]) {
  const values = { name, numbers: numbers.join(", "), clock: clock(until + 59) };
  return /,/.test(values.numbers) ? say("{name}, blocks {numbers}, until {clock}", values) : say("{name}, block {numbers}, until {clock}", values);
}

function moveLine(states) {
  const across = (at) => `${((100 * at) / night.span).toFixed(3)}%`;
  for (const line of nows) {
    line.setAttribute("x1", across(time));
    line.setAttribute("x2", across(time));
  }
  night.machines.forEach((machine, index) => {
    const charge = chargeAt(index);
    put(machine.shown.charge.text, alsoHappens(index));
    machine.shown.charge.level.style.transform = `scaleX(${Math.min(1, Math.max(0, charge)).toFixed(4)})`;
  });
  for (const { dot, of, index, top, foot } of dots) {
    const share = of === "charge" ? chargeAt(index) : states[index][of] / night.top;
    dot.setAttribute("cx", across(Math.min(time, night.machines[index].end)));
    dot.setAttribute("cy", (foot - Math.min(1, Math.max(0, share)) * (foot - top)).toFixed(1));
  }
  const closed = new Map();
  for (const { piece, close, open, name, blocks } of timed) {
    const isClosed = close <= time && time < open;
    piece.classList.toggle("now-closed", isClosed);
    if (!isClosed || !name) continue;
    const { numbers = [], until = 0 } = closed.get(name) ?? {};
    closed.set(name, { numbers: [...numbers, blocks], until: Math.max(until, open) });
  }
  put(by("closed"), closed.size ? say("Closed to people now: {names}.", { names: [...closed].map(closedWords).join("; ") }) : say("Nothing is closed to people now."));
}

buildLine();
lookAtAll();
showTheme();
document.fonts.ready.then(buildLine);
