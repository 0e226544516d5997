"use strict";

// The page shows what the last event said, and how old it is. It sends nothing back.

const LOST_AFTER_MS = 5000; // the server gives a sign of life every 2 s, see site.py
const TICK_MS = 1000;
const LARGEST_FIT = 1.4;
const SMALLEST_FIT = 0.25;

const at = (id) => document.getElementById(id);
const body = document.body;

let lastSign = null; // when the server was heard last; null: never
let lastShown = null; // when it was heard last while the page showed its view; null: never
let source = null;
let tried = null; // when the last connection was begun
let shownWhole = false; // else the page may still show the view before, and must not look live

// The time of day can be set back, and the other clock may stand still while the tablet sleeps.
// What one of them says is old is old.
const now = () => ({ day: Date.now(), page: performance.now() });
const since = (then) =>
  then === null ? Infinity : Math.max(Date.now() - then.day, performance.now() - then.page);

// All text goes in as text, never as markup: a task file can hold anything.
function make(name, text, attributes = {}) {
  const made = document.createElement(name);
  made.textContent = text;
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

function sign(name) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const use = document.createElementNS("http://www.w3.org/2000/svg", "use");
  use.setAttribute("href", `#sign-${name}`);
  svg.setAttribute("aria-hidden", "true");
  svg.append(use);
  return svg;
}

const token = (text) => text.replaceAll(" ", "-");
const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);

function showText(id, text) {
  const place = at(id);
  (place.querySelector(".text") ?? place).textContent = text;
  place.hidden = text === "";
}

function show(view) {
  body.dataset.activity = token(view.activity);
  body.dataset.focus = view.focus;
  at("activity").replaceChildren(sign(token(view.activity)), make("span", capital(view.activity)));
  const atStep = view.step >= 1 && view.step <= view.steps;
  at("place").textContent = atStep ? `Step ${view.step} of ${view.steps}` : `${view.steps} steps`;
  document.title = `${at("place").textContent}, ${view.activity}`;
  showText("trouble", view.trouble);
  showAlerts(view.alerts);
  showText("instruction", view.instruction);
  showValue(view.value);
  showText("voice", view.voice.join(" "));
  showText("unheeded", view.not_acted_on);
  showSayable(view);
  showText("undone", view.left_undone.length ? `Not done: ${view.left_undone.join("; ")}` : "");
  at("states").replaceChildren(
    ...view.states.map(([called, value]) => {
      const item = make("li", `${called}: `);
      item.append(make("b", value));
      return item;
    }),
    make("li", `${view.title}, revision ${view.revision}`, { id: "task" }),
  );
}

function showAlerts(alerts) {
  at("alerts").hidden = alerts.length === 0;
  at("alerts").replaceChildren(
    ...alerts.map((alert) => {
      const box = make("div", "", { class: "alert", "data-kind": alert.kind });
      if (alert.spoken_now) box.dataset.spoken = "";
      const text = make("p", "");
      text.append(sign(alert.kind), make("b", alert.kind), ` ${alert.text}`);
      box.append(text);
      return box;
    }),
  );
}

function showValue(value) {
  const place = at("value");
  place.hidden = value === null;
  if (value === null) return;
  place.dataset.mark = value.mark;
  const limits = value.limits ? `, limits ${value.limits}` : "";
  place.querySelector(".what").textContent =
    `Step ${value.number}, ${value.name}${limits}: ${value.standing}`;
  place.querySelector(".figures").textContent = value.text;
  place.querySelector(".verdict").replaceChildren(sign(value.mark), make("span", value.verdict));
}

function showSayable(view) {
  at("say").hidden = view.answers.length + view.other_words.length === 0;
  at("answers").replaceChildren(...view.answers.map((text) => make("li", text)));
  showText("words", view.other_words.length === 0 ? "" : `or ${view.other_words.join(", ")}`);
}

// The largest text that leaves nothing out. Nobody has a hand free to scroll.
function fit() {
  const set = (size) => document.documentElement.style.setProperty("--fit", size.toFixed(3));
  const fits = () => {
    const root = document.documentElement;
    const main = document.querySelector("main");
    return root.scrollHeight <= innerHeight && root.scrollWidth <= innerWidth
      && main.scrollHeight <= main.clientHeight && main.scrollWidth <= main.clientWidth;
  };
  let [low, high] = [SMALLEST_FIT, LARGEST_FIT];
  set(high);
  if (!fits()) {
    while (high - low > 0.01) {
      const middle = (low + high) / 2;
      set(middle);
      if (fits()) low = middle;
      else high = middle;
    }
    set(low);
  }
  at("cut").hidden = true;
  at("cut").hidden = fits();
}

function ageInWords(ms) {
  const seconds = Math.round(ms / 1000);
  if (seconds < 120) return `${seconds} s`;
  return seconds < 7200 ? `${Math.floor(seconds / 60)} min` : `${Math.floor(seconds / 3600)} h`;
}

function setConnection(live) {
  const connection = live ? "live" : "lost";
  const ended = ["finished", "stopped"].includes(body.dataset.activity);
  at("lost").textContent = ended
    ? "No connection: the run has ended."
    : "No connection: listen to the voice.";
  at("age").textContent =
    live || lastShown === null ? "" : `What is shown is ${ageInWords(since(lastShown))} old.`;
  if (body.dataset.connection !== connection) {
    body.dataset.connection = connection;
    fit();
  }
}

function heardFromServer() {
  lastSign = now();
  if (shownWhole) lastShown = lastSign;
  setConnection(shownWhole);
}

function connect() {
  source?.close();
  tried = now();
  source = new EventSource("/events");
  source.addEventListener("beat", heardFromServer);
  source.addEventListener("message", (event) => {
    shownWhole = false;
    try {
      show(JSON.parse(event.data));
      shownWhole = true;
    } finally {
      heardFromServer();
    }
    fit();
    body.dataset.shown = event.lastEventId;
  });
  source.addEventListener("error", () => setConnection(false));
}

// A connection that died without a word, a tablet that slept, a refusal that EventSource does not
// try again: the clock notices them all.
function look() {
  const silent = since(lastSign) > LOST_AFTER_MS;
  if (silent || body.dataset.connection === "lost") setConnection(false); // the age grows
  if (silent && since(tried) > LOST_AFTER_MS) connect();
}

setInterval(look, TICK_MS);
addEventListener("visibilitychange", look); // awake again, and not first in a second

addEventListener("resize", fit);
setConnection(false);
fit();
connect();
