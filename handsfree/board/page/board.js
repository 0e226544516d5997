"use strict";

// The page shows what the last event said, and how old it is. It sends nothing back.

const LOST_AFTER_MS = 5000; // the server gives a sign of life every 2 s, see site.py
const TICK_MS = 1000;
const LARGEST_FIT = 1.4;
const SMALLEST_FIT = 0.25;
const SMALLEST_CLOSE = 0.6; // of what is only read from close by, before anything else shrinks
const ENDED = ["finished", "stopped"];

const at = (id) => document.getElementById(id);
const body = document.body;

let lastSign = null; // when the server was heard last; null: never
let lastShown = null; // when it was heard last while the page showed its view; null: never
let source = null;
let tried = null; // when the last connection was begun
let states = { ranked: [], concerned: 0, least: 0 }; // see rankStates
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
  body.toggleAttribute("data-ended", ENDED.includes(view.activity));
  at("activity").replaceChildren(sign(token(view.activity)), make("span", capital(view.activity)));
  const atStep = view.step >= 1 && view.step <= view.steps;
  at("place").textContent = atStep ? `Step ${view.step} of ${view.steps}` : `${view.steps} steps`;
  document.title = `${at("place").textContent}, ${view.activity}`;
  showText("trouble", view.trouble);
  showAlerts(view.alerts);
  showInspection(view.inspection);
  showText("instruction", (view.inspection ? "The work was: " : "") + view.instruction);
  // Beside a value its limits stand with it.
  showText("limits", view.value?.limits ? "" : view.limits);
  showValue(view.value);
  showText("voice", view.voice.join(" "));
  showText("unheeded", view.not_acted_on);
  showSayable(view);
  showText("findings", view.findings.join("; "));
  showText("undone", view.left_undone.join("; "));
  at("states").replaceChildren(
    ...view.states.map(([called, value]) => {
      const item = make("li", `${called}: `, { class: "state" });
      item.append(make("b", value));
      return item;
    }),
    make("li", `${view.title}, revision ${view.revision}`, { id: "task" }),
  );
  rankStates(view);
}

// The order in which states are worth room: what the step changes, what it relies on, the rest.
function rankStates(view) {
  const items = [...document.querySelectorAll(".state")];
  const called = view.states.map(([name]) => name);
  const named = (names) => names.map((name) => items[called.indexOf(name)]);
  const foremost = named(view.foremost);
  const concerned = [...foremost, ...named(view.concerned)];
  const atLeastOne = ENDED.includes(view.activity) ? 0 : 1;
  states = {
    ranked: [...concerned, ...items.filter((item) => !concerned.includes(item))],
    concerned: concerned.length,
    least: Math.min(Math.max(foremost.length, atLeastOne), items.length),
  };
}

function sizeStates(far, others) {
  states.ranked.forEach((item, rank) => {
    item.dataset.size = rank < far ? "far" : others;
  });
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

function showInspection(inspection) {
  const by = inspection?.inspector ? ` by ${inspection.inspector}` : ": who inspects?";
  showText("inspection", inspection ? by : "");
}

function showValue(value) {
  const place = at("value");
  place.hidden = value === null;
  if (value === null) return;
  place.dataset.mark = value.mark;
  const limits = value.limits ? `, limits ${value.limits}` : "";
  place.querySelector(".what").textContent =
    `${capital(value.name)}${limits}: ${value.standing}`;
  place.querySelector(".figures").textContent = value.text;
  place.querySelector(".verdict").replaceChildren(sign(value.mark), make("span", value.verdict));
}

function showSayable(view) {
  at("say").hidden = view.answers.length + view.other_words.length === 0;
  at("answers").replaceChildren(...view.answers.map((text) => make("li", text)));
  showText("words", view.other_words.length === 0 ? "" : `or ${view.other_words.join(", ")}`);
}

function fits() {
  const root = document.documentElement;
  const main = document.querySelector("main");
  return root.scrollHeight <= innerHeight && root.scrollWidth <= innerWidth
    && main.scrollHeight <= main.clientHeight && main.scrollWidth <= main.clientWidth;
}

// The largest value from `low` to `high` at which all fits; `low` where there is none.
function largest(property, low, high) {
  const set = (size) => document.documentElement.style.setProperty(property, size.toFixed(3));
  set(high);
  if (fits()) return;
  while (high - low > 0.002) {
    const middle = (low + high) / 2;
    set(middle);
    if (fits()) low = middle;
    else high = middle;
  }
  set(low);
}

// How the states can stand, from the most room to the least.
function* waysToShowStates() {
  const { ranked, concerned, least } = states;
  yield [ranked.length, "far"];
  yield [concerned, "beside"];
  for (let far = Math.max(concerned, least); far >= least; far -= 1) yield [far, "close"];
}

// The largest text that leaves nothing out: nobody has a hand free to scroll. Where there is too
// much, states that are of no matter to the step give way first, then what is read from close by.
function fit() {
  const { style } = document.documentElement;
  style.setProperty("--fit", 1);
  style.setProperty("--fit-close", 1);
  for (const way of waysToShowStates()) {
    sizeStates(...way);
    if (fits()) break;
  }
  if (fits()) {
    largest("--fit", 1, LARGEST_FIT);
  } else {
    style.setProperty("--fit-close", SMALLEST_CLOSE);
    largest("--fit", SMALLEST_FIT, 1);
    if (!fits()) largest("--fit-close", SMALLEST_FIT, SMALLEST_CLOSE);
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
  // After the end nothing more comes, and what is shown stays as true as it was.
  at("lost").textContent = ENDED.includes(body.dataset.activity)
    ? "The run has ended."
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
