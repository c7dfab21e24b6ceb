// The page: one time moves the floor, the tanks, the list and the night line together. The line itself and how
// long a floor takes to dry belong to the page: `horizon`, `drying`, `buildLine`,
// `moveLine` and `alsoHappens` come after this file.

const by = (id) => document.getElementById(id);
const made = (name, kind, parent, text = "") => {
  const element = document.createElement(name);
  element.className = kind;
  element.textContent = text;
  parent.append(element);
  return element;
};
const reduced = window.matchMedia("(prefers-reduced-motion: reduce)");
const several = night.machines.length > 1;
let time = 0;
let playing = false;
let chosen = null;

// --- the tanks and what each machine does ---
for (const machine of night.machines) {
  const state = made("div", "state", by("states"));
  const says = made("p", "says", state);
  machine.shown = { box: state, clock: made("b", "", says), says: made("span", "", says) };
  for (const [name, kind] of [["solution", "clean"], ["recovered", "dirty"]]) {
    const tank = made("div", `tank ${kind}`, state);
    machine.shown[name] = { text: made("span", "", tank), level: made("i", "", made("div", "level", tank)) };
  }
}

const put = (element, text) => {
  if (element.textContent !== text) element.textContent = text;
};

function showTanks(machine, state) {
  for (const [name, capacity, words] of [
    ["solution", night.solution, say("Solution tank: {now} of {full}")],
    ["recovered", night.recovery, say("Recovery tank: {now} of {full}")],
  ]) {
    const { text, level } = machine.shown[name];
    const values = { now: litres(state[name]), full: `${litres(capacity)} ${night.litre.label}` };
    put(text, words.replace(/\{(\w+)\}/g, (_, key) => values[key]));
    level.style.transform = `scaleX(${Math.min(1, Math.max(0, state[name] / capacity)).toFixed(4)})`;
  }
}

const whatHappens = (machine, state) =>
  several ? say("Machine {machine}: {does}", { machine: machine.number, does: wordsFor(state) }) : wordsFor(state);

// --- everything at one second ---
function show() {
  const states = night.machines.map((machine) => machineAt(machine, time));
  follow(states);
  drawTint(time, drying);
  placeMachines(states);
  night.machines.forEach((machine, index) => {
    put(machine.shown.clock, clock(time));
    put(machine.shown.says, whatHappens(machine, states[index]));
    showTanks(machine, states[index]);
  });
  moveLine(states);
  const slider = by("time");
  slider.value = time;
  const happens = night.machines.map((machine, index) => [whatHappens(machine, states[index]), alsoHappens(index)].filter(Boolean).join(", "));
  slider.setAttribute("aria-valuetext", `${clock(time)}. ${happens.join(". ")}`);
  for (const step of steps) step.classList.toggle("done", Number(step.dataset.end) <= time);
}

// Zoomed in, the picture goes along with a machine that would leave it.
function follow(states) {
  if (!playing || !picture.classList.contains("near")) return;
  const index = Math.max(0, night.machines.findIndex((machine) => chosen?.startsWith(`${machine.number}-`)));
  const { x, y } = states[index];
  const outside = (value, from, span) => value < from + 0.1 * span || value > from + 0.9 * span;
  if (outside(x, view.x, view.wide) || outside(y, view.y, view.high)) look(x, y, view.scale);
}

function goTo(wanted) {
  time = Math.min(Math.max(wanted, 0), horizon());
  show();
}

// --- playing ---
let last = 0;
function tick(at) {
  if (!playing) return;
  const passed = at - last;
  // Where motion is unwelcome, time moves in whole steps, one a second.
  if (!reduced.matches || passed >= 1000) {
    last = at;
    goTo(time + (Math.min(passed, 1000) / 1000) * Number(by("speed").value));
    if (time >= horizon()) play(false);
  }
  requestAnimationFrame(tick);
}

function play(wanted) {
  if (wanted && time >= horizon()) time = 0;
  playing = wanted;
  const button = by("play");
  button.lastElementChild.textContent = wanted ? button.dataset.pause : button.dataset.play;
  by("play-shape").setAttribute("d", wanted ? "M3 2H8V18H3ZM12 2H17V18H12Z" : "M4 2 18 10 4 18Z");
  if (!wanted) return;
  last = performance.now();
  requestAnimationFrame(tick);
}

// --- blocks and pieces, on the floor and in the lists ---
const steps = [...document.querySelectorAll(".step[data-end]")];
const blockSteps = [...document.querySelectorAll("button.step[data-block]")];

function choose(key) {
  chosen = key === chosen ? null : key;
  plan.classList.toggle("chosen", chosen !== null);
  for (const each of plan.querySelectorAll("[data-block]")) each.classList.toggle("here", each.dataset.block === chosen);
  for (const step of blockSteps) step.setAttribute("aria-pressed", String(step.dataset.block === chosen));
  approach.setAttribute("d", "");
  ring.setAttribute("d", "");
  if (chosen === null) {
    placeMarks();
    return;
  }
  for (const step of blockSteps) if (step.dataset.block === chosen) step.closest("details")?.setAttribute("open", "");
  const [machineNumber, number] = chosen.split("-").map(Number);
  const machine = night.machines.find((each) => each.number === machineNumber);
  const [, start] = machine.blocks.find(([each]) => each === number);
  approach.setAttribute("d", wayTo(machine, start));
  const area = plan.querySelector(`.swept[data-block="${chosen}"]`).getBBox();
  const box = picture.getBoundingClientRect();
  const scale = 0.55 * Math.min(box.width / Math.max(area.width, 12), box.height / Math.max(area.height, 12));
  look(area.x + area.width / 2, area.y + area.height / 2, scale);
  if (playing) show();
  else goTo(start);
}

// The way driven to a block, from wherever the deck was last down or the machine stood.
function wayTo(machine, start) {
  const found = [];
  for (let index = legIndexAt(machine, start - 0.01); index >= 0; index -= 1) {
    const leg = machine.legs[index];
    if (leg.kind === "scrub" || leg.kind === "stop") break;
    found.unshift(...leg.points);
  }
  return found.length > 1 ? `M${found.map((point) => point.join(" ")).join("L")}` : "";
}

// Rings around pieces that stay out, all of them in the picture.
function pointOut(points) {
  if (chosen !== null) choose(chosen);
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  const middle = (values) => (Math.min(...values) + Math.max(...values)) / 2;
  const span = (values) => Math.max(...values) - Math.min(...values) + 6;
  const box = picture.getBoundingClientRect();
  const fitting = 0.8 * Math.min(box.width / span(xs), box.height / span(ys));
  look(middle(xs), middle(ys), Math.min(Math.max(3 * view.least, 12), fitting));
  const radius = 18 / view.scale;
  const around = ([x, y]) => `M${x - radius} ${y}a${radius} ${radius} 0 1 0 ${2 * radius} 0a${radius} ${radius} 0 1 0 ${-2 * radius} 0`;
  ring.setAttribute("d", points.map(around).join(""));
  show();
}

const bringIntoView = (element) => {
  if (element) element.scrollIntoView({ block: "nearest", behavior: reduced.matches ? "auto" : "smooth" });
};

for (const step of blockSteps) step.addEventListener("click", () => choose(step.dataset.block));
for (const out of document.querySelectorAll("button.out")) {
  out.addEventListener("click", () => {
    pointOut(out.dataset.at.split(" ").map((point) => point.split(",").map(Number)));
    if (window.innerWidth < 1100) bringIntoView(picture);
  });
}

// --- touching the picture: drag, pinch, wheel, tap ---
const touches = new Map();
let moved = 0;
picture.addEventListener("pointerdown", (event) => {
  touches.set(event.pointerId, [event.clientX, event.clientY]);
  moved = touches.size > 1 ? 99 : 0;
});
picture.addEventListener("pointermove", (event) => {
  const before = touches.get(event.pointerId);
  if (!before) return;
  const [dx, dy] = [event.clientX - before[0], event.clientY - before[1]];
  moved += Math.abs(dx) + Math.abs(dy);
  const other = [...touches].find(([id]) => id !== event.pointerId)?.[1];
  touches.set(event.pointerId, [event.clientX, event.clientY]);
  if (other) {
    const far = (point) => Math.hypot(point[0] - other[0], point[1] - other[1]);
    zoom(far([event.clientX, event.clientY]) / Math.max(far(before), 1), ...floorPoint(event));
    show();
  } else if (picture.classList.contains("near") && moved > 6) {
    look(view.x + view.wide / 2 - dx / view.scale, view.y + view.high / 2 - dy / view.scale, view.scale);
    show();
  }
});
for (const name of ["pointerup", "pointercancel", "pointerleave"]) {
  picture.addEventListener(name, (event) => {
    const wasDown = touches.delete(event.pointerId);
    if (name !== "pointerup" || !wasDown || moved > 6) return;
    const block = event.target.closest?.("[data-block]")?.dataset.block;
    if (!block) return;
    choose(block);
    bringIntoView(blockSteps.find((step) => step.dataset.block === chosen));
  });
}
picture.addEventListener("wheel", (event) => {
  event.preventDefault();
  zoom(Math.exp(-event.deltaY / 500), ...floorPoint(event));
  show();
}, { passive: false });

// --- keys, buttons and fields ---
const sized = (act) => () => {
  act();
  show();
};
const whole = sized(() => {
  if (chosen !== null) choose(chosen);
  ring.setAttribute("d", "");
  lookAtAll();
});
by("larger").addEventListener("click", sized(() => zoom(1.6)));
by("smaller").addEventListener("click", sized(() => zoom(1 / 1.6)));
by("whole").addEventListener("click", whole);
by("play").addEventListener("click", () => play(!playing));
by("time").addEventListener("input", (event) => goTo(Number(event.target.value)));
const KEYS = {
  ArrowLeft: () => goTo(time - 60), ArrowRight: () => goTo(time + 60), ArrowDown: () => goTo(time - 60), ArrowUp: () => goTo(time + 60),
  PageDown: () => goTo(time - 600), PageUp: () => goTo(time + 600), Home: () => goTo(0), End: () => goTo(horizon()),
};
by("time").addEventListener("keydown", (event) => {
  if (!KEYS[event.key]) return;
  event.preventDefault();
  KEYS[event.key]();
});
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const typing = event.target.closest("input:not([type=range]), select");
  if (event.key === "Escape") whole();
  else if (typing) return;
  else if (event.key === " " && !event.target.closest("button, summary")) {
    event.preventDefault();
    play(!playing);
  } else if (event.key === "+" || event.key === "=") by("larger").click();
  else if (event.key === "-") by("smaller").click();
});

const dark = () => (document.documentElement.dataset.theme ?? (window.matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light")) === "dark";
function showTheme() {
  by("theme").textContent = dark() ? by("theme").dataset.light : by("theme").dataset.dark;
  readColours();
  show();
}
by("theme").addEventListener("click", () => {
  document.documentElement.dataset.theme = dark() ? "light" : "dark";
  showTheme();
});
window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", showTheme);
new ResizeObserver(() => {
  buildLine();
  look(view.x + view.wide / 2, view.y + view.high / 2, picture.classList.contains("near") ? view.scale : 0);
  show();
}).observe(picture);
