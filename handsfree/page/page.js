"use strict";
const sound = document.getElementById("sound");
const sheet = document.getElementById("sheet");
const picture = document.getElementById("picture");
const cursor = document.getElementById("cursor");
const lines = [...document.querySelectorAll("#said li")];
const rows = [...document.querySelectorAll("#attention tbody tr")];
const length = Number(picture.dataset.length); // seconds, as the picture was drawn
let row = -1;
let zoom = 1;
let at = -1;
let through = [];

function play(button) {
  sound.hidden = false;
  sound.src = button.dataset.sound;
  sound.playbackRate = Number(document.getElementById("rate").value);
  sound.play().catch(() => undefined);
}

function show(line, scroll) {
  lines.forEach((each) => each.classList.toggle("now", each === line));
  at = lines.indexOf(line);
  const place = `${(100 * Number(line.dataset.seconds)) / length}%`;
  cursor.setAttribute("x1", place);
  cursor.setAttribute("x2", place);
  document.getElementById("moment").textContent = line.innerText.replaceAll("\n", " ");
  if (scroll) line.scrollIntoView({ block: "center" });
}

function lineOf(entry) {
  const exact = document.getElementById(`e${entry}`);
  return exact || lines.findLast((line) => Number(line.id.slice(1)) <= Number(entry));
}

function select(number) {
  if (!rows.length) return;
  row = (number + rows.length) % rows.length;
  rows[row].focus();
  rows[row].scrollIntoView({ block: "center" });
  const line = lineOf(rows[row].dataset.entry);
  if (line) show(line, false);
}

function scale(factor) {
  zoom = Math.min(64, Math.max(1, zoom * factor));
  picture.setAttribute("width", `${100 * zoom}%`);
  const place = Number.parseFloat(cursor.getAttribute("x1")) / 100;
  sheet.scrollLeft = place * sheet.scrollWidth - sheet.clientWidth / 2;
}

function next() {
  const button = through.shift();
  if (!button) return;
  show(button.closest("li"), true);
  play(button);
}

document.addEventListener("click", (event) => {
  const target = event.target;
  if (target.dataset && target.dataset.sound) {
    through = [];
    play(target);
  } else if (target.closest && target.closest("#picture [data-entry]")) {
    const line = lineOf(target.closest("[data-entry]").dataset.entry);
    if (line) show(line, true);
  }
});
document.getElementById("closer").addEventListener("click", () => scale(2));
document.getElementById("wider").addEventListener("click", () => scale(0.5));
document.getElementById("rate").addEventListener("change", (event) => {
  sound.playbackRate = Number(event.target.value);
});
document.getElementById("run").addEventListener("click", () => {
  through = lines.slice(Math.max(at, 0)).flatMap((line) => [...line.querySelectorAll("button")]);
  next();
});
sound.addEventListener("ended", next);
document.getElementById("find").addEventListener("input", (event) => {
  const wanted = event.target.value.toLowerCase();
  let shown = 0;
  for (const line of lines) {
    const fits = line.textContent.toLowerCase().includes(wanted);
    line.classList.toggle("hidden", !fits);
    shown += Number(fits);
  }
  document.getElementById("found").textContent = wanted ? `${shown} of ${lines.length}` : "";
});
sheet.addEventListener("keydown", (event) => {
  const step = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
  if (step === undefined || !lines.length) return;
  event.preventDefault();
  show(lines[Math.min(lines.length - 1, Math.max(0, at + step))], false);
});
document.addEventListener("keydown", (event) => {
  if (event.target.matches("input, select") || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "n") select(row + 1);
  else if (event.key === "p") select(row - 1);
  else if (event.key === "Enter" && row >= 0 && rows[row] === document.activeElement) {
    const button = rows[row].querySelector("button");
    if (button) play(button);
  } else if (event.key === "g" && row >= 0) {
    const line = lineOf(rows[row].dataset.entry);
    if (line) show(line, true);
  }
});
