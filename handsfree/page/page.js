"use strict";
const byId = (id) => document.getElementById(id);
const [sound, sheet, picture, cursor, moment] =
  ["sound", "sheet", "picture", "cursor", "moment"].map(byId);
const lines = [...document.querySelectorAll("#said li")];
const rows = [...document.querySelectorAll("#attention tbody tr")];
const length = Number(picture.dataset.length); // seconds, as the picture was drawn
const MOST_ZOOM = 64;
const LABEL_PX = 34; // narrower than this, a label says nothing
const WORD_MS = 300; // how long a word of the tool is shown while playing through
const LONGEST_SHOWN_MS = 4000;
let row = -1;
let zoom = 1;
let at = -1;
let through = null; // what comes next while playing through
let heads = []; // the lines in waveforms that show how far the sound is

function rate() {
  return Number(byId("rate").value);
}

function stop() {
  if (through !== null) clearTimeout(through);
  through = null;
  byId("run").setAttribute("aria-pressed", "false");
}

function play(button) {
  sound.hidden = false;
  sound.src = button.dataset.sound;
  sound.playbackRate = rate();
  sound.play().catch(() => undefined);
  const line = button.closest("li") || lines[at];
  heads = [...document.querySelectorAll("#moment .playhead")];
  if (line) heads.push(...line.querySelectorAll(".playhead"));
}

function describe(line) {
  const head = document.createElement("p");
  head.className = "head";
  for (const part of line.querySelectorAll(":scope > .time, :scope > .who, :scope > .text, :scope > .small, :scope > button")) {
    head.append(part.cloneNode(true), " ");
  }
  const heard = [...line.querySelectorAll("details > :not(summary)")].map((part) => part.cloneNode(true));
  moment.className = `script ${line.className}`;
  moment.replaceChildren(head, ...heard);
}

function show(line, scroll) {
  if (at >= 0) lines[at].classList.remove("now");
  line.classList.add("now");
  at = lines.indexOf(line);
  const share = Math.max(0, Number(line.dataset.seconds) / length);
  cursor.setAttribute("x1", `${100 * share}%`);
  cursor.setAttribute("x2", `${100 * share}%`);
  cursor.classList.add("set");
  const x = share * sheet.scrollWidth;
  if (x < sheet.scrollLeft || x > sheet.scrollLeft + sheet.clientWidth) {
    sheet.scrollLeft = x - sheet.clientWidth / 2;
  }
  describe(line);
  if (scroll) line.scrollIntoView({ block: "center" });
}

function lineOf(entry) {
  return byId(`e${entry}`) || lines.findLast((line) => Number(line.id.slice(1)) <= Number(entry));
}

function lineAt(seconds) {
  return lines.findLast((line) => Number(line.dataset.seconds) <= seconds) || lines[0];
}

function select(number) {
  if (!rows.length) return;
  row = (number + rows.length) % rows.length;
  rows[row].focus();
  const line = lineOf(rows[row].dataset.entry);
  if (line) show(line, false);
}

function label() {
  for (const text of picture.querySelectorAll("svg.span > text")) {
    text.classList.toggle("narrow", text.parentNode.width.baseVal.value < LABEL_PX);
  }
  for (const tick of picture.querySelectorAll(".fine")) tick.style.display = zoom >= 4 ? "inline" : "";
}

function scale(factor) {
  zoom = Math.min(MOST_ZOOM, Math.max(1, zoom * factor));
  picture.setAttribute("width", `${100 * zoom}%`);
  sheet.scrollLeft = (Number.parseFloat(cursor.getAttribute("x1")) / 100) * sheet.scrollWidth - sheet.clientWidth / 2;
  label();
}

function step(by) {
  if (!lines.length) return;
  show(lines[Math.min(lines.length - 1, Math.max(0, at + by))], false);
}

function next() {
  if (at + 1 >= lines.length) return stop();
  step(1);
  const button = lines[at].querySelector(":scope > button");
  if (button) {
    play(button); // and on from there, when it has ended
    through = 0;
  } else {
    const words = lines[at].querySelector(".text").textContent.split(" ").length;
    through = setTimeout(next, Math.min(LONGEST_SHOWN_MS, words * WORD_MS) / rate());
  }
  return undefined;
}

function toggleThrough() {
  if (through !== null) {
    stop();
    sound.pause();
    return;
  }
  byId("run").setAttribute("aria-pressed", "true");
  at = Math.max(-1, at - 1); // the moment that is shown is the first to be played
  next();
}

function playMoment() {
  const button = at >= 0 && lines[at].querySelector(":scope > button");
  if (button) play(button);
}

document.addEventListener("click", (event) => {
  const target = event.target.closest("[data-sound], #picture");
  if (!target) return;
  stop();
  if (target.dataset.sound) {
    play(target);
    return;
  }
  const own = event.target.closest("[data-entry]");
  const share = (event.clientX - picture.getBoundingClientRect().left) / picture.getBoundingClientRect().width;
  const line = own ? lineOf(own.dataset.entry) : lineAt(share * length);
  if (line) show(line, false);
});
byId("closer").addEventListener("click", () => scale(2));
byId("wider").addEventListener("click", () => scale(0.5));
byId("rate").addEventListener("change", () => {
  sound.playbackRate = rate();
});
byId("run").addEventListener("click", toggleThrough);
sound.addEventListener("ended", () => {
  if (through !== null) next();
});
sound.addEventListener("error", () => {
  if (through !== null) next();
});
sound.addEventListener("timeupdate", () => {
  const x = sound.duration ? (240 * sound.currentTime) / sound.duration : -9;
  for (const head of heads) {
    head.setAttribute("x1", x);
    head.setAttribute("x2", x);
  }
});
byId("find").addEventListener("input", (event) => {
  const wanted = event.target.value.toLowerCase();
  let shown = 0;
  for (const line of lines) {
    const fits = line.textContent.toLowerCase().includes(wanted);
    line.classList.toggle("hidden", !fits);
    shown += Number(fits);
  }
  byId("found").textContent = wanted ? `${shown} of ${lines.length}` : "";
});
const KEYS = {
  n: () => select(row + 1),
  p: () => select(Math.max(row, 0) - 1),
  g: () => at >= 0 && lines[at].scrollIntoView({ block: "center" }),
  s: playMoment,
  t: toggleThrough,
  "+": () => scale(2),
  "-": () => scale(0.5),
};
document.addEventListener("keydown", (event) => {
  if (event.target.matches("input, select") || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.target === sheet && (event.key === "ArrowLeft" || event.key === "ArrowRight")) {
    event.preventDefault();
    stop();
    step(event.key === "ArrowLeft" ? -1 : 1);
  } else if (event.key === "Enter" && row >= 0 && rows[row] === event.target) {
    const button = rows[row].querySelector("button");
    if (button) play(button);
  } else if (KEYS[event.key]) {
    KEYS[event.key]();
  }
});
addEventListener("resize", label);
label();
