// The bench's clock: what runs, what was taken, and presses that wait.
import { ask, Away, faultWords } from "./ask.js";
import { all, find, make } from "./make.js";

const two = (number) => String(number).padStart(2, "0");
function spoken(seconds) {
  const whole = Math.floor(seconds), hours = Math.floor(whole / 3600);
  return `${hours ? `${hours} h ` : ""}${two(Math.floor((whole % 3600) / 60))}:${two(whole % 60)}`;
}

export function timesPage(job, presses, fragmentAgain) {
  const running = find("#running"), taken = find("#taken"), trouble = find("#times-trouble");
  const url = `/api/jobs/${encodeURIComponent(job)}`;
  let times = [], loadedAt = performance.now(), turn = 0;

  async function load() {
    const mine = ++turn;
    try {
      const { status, said } = await ask(`${url}/times`);
      if (status !== 200 || mine !== turn) return;
      times = said;
      loadedAt = performance.now();
      draw();
    } catch (error) {
      if (!(error instanceof Away)) throw error;
      setTimeout(load, 3000);
    }
  }

  /** What the program has, and over it the presses that it does not have yet. */
  function clocks() {
    const now = times.filter((each) => each.state === "running").map((each) => ({ ...each, began: Date.now() - (each.running_s * 1000 + performance.now() - loadedAt), kept: true }));
    for (const press of presses.waiting) {
      if (press.kind === "start" && !press.faults && !now.some((each) => each.clock === press.id)) now.push({ clock: press.id, operation: press.operation, count: press.count, began: press.at });
      if (press.kind === "stop" && !press.faults) { const place = now.findIndex((each) => each.clock === press.clock); if (place >= 0) now.splice(place, 1); }
    }
    return now;
  }

  function draw() {
    const now = clocks();
    const shown = now.map((each) => `${each.clock} ${each.kept}`).join("|");
    if (running.dataset.shown !== shown) {
      running.dataset.shown = shown;
      running.replaceChildren(...(now.length ? now.map(card) : [make("p", {}, "Nothing runs.")]));
    }
    tick();
    const refused = presses.waiting.filter((each) => each.faults);
    trouble.hidden = !refused.length;
    trouble.replaceChildren(...refused.map((press) => make("div", {}, make("ul", {}, faultWords(press.faults).map((words) => make("li", {}, `Not saved. ${words}`))),
      make("button", { type: "button", onclick: () => presses.drop(press.id) }, "Leave it"))));
    const busy = new Set(now.map((each) => each.operation));
    for (const each of all("[data-start]")) each.disabled = busy.has(each.dataset.start);
    list();
  }

  function card(each) {
    const note = make("input", { id: `note-${each.clock}`, maxlength: 400, autocomplete: "off", placeholder: "second heat needed" });
    const stop = (keep) => presses.stop(each.clock, each.operation, keep, note.value.trim());
    return make("div", { class: "clock", "data-clock": each.clock },
      make("p", { class: "reading" }, make("b", {}, each.operation), ` × ${each.count} `, make("span", { class: "since", role: "timer" })),
      each.kept ? null : make("p", { class: "infault" }, "Not saved yet: kept here, and it counts from when it was pressed."),
      make("p", {}, make("label", { for: note.id }, "Note"), note),
      make("p", { class: "wayto" }, make("button", { type: "button", class: "main", onclick: () => stop(true) }, `Stop ${each.operation}`),
        make("button", { type: "button", onclick: () => stop(false) }, "Stop, and keep no time")));
  }

  function tick() {
    for (const each of clocks()) { const there = running.querySelector(`[data-clock="${CSS.escape(each.clock)}"] .since`); if (there) there.textContent = spoken((Date.now() - each.began) / 1000); }
  }

  function list() {
    const rows = times.filter((each) => each.took);
    if (!rows.length) { taken.replaceChildren(make("p", {}, "None yet.")); return; }
    const row = (each) => make("tr", { class: each.state === "struck" ? "struck" : "" },
      make("td", {}, each.day), make("th", { scope: "row" }, each.operation), make("td", {}, String(each.count)), make("td", {}, each.took),
      make("td", {}, each.note), make("td", {}, each.state === "struck" ? "Struck out" : "Counts"),
      make("td", {}, make("button", { type: "button", "aria-label": `${each.state === "struck" ? "Count again" : "Strike out"}: ${each.operation}, ${each.took}`, onclick: () => counts(each) }, each.state === "struck" ? "Count again" : "Strike out")));
    taken.replaceChildren(make("div", { class: "wide", tabindex: 0, role: "group", "aria-label": "Times of this job" }, make("table", {},
      make("thead", {}, make("tr", {}, ["Day", "Operation", "How many", "Took", "Note", "Counts", "Mend"].map((words) => make("th", {}, words)))), make("tbody", {}, rows.map(row)))));
  }

  async function counts(each) {
    try { await ask(`${url}/times/${encodeURIComponent(each.clock)}`, { method: each.state === "struck" ? "PUT" : "DELETE" }); } catch { /* it stays as it is, and shows so */ }
    load();
    fragmentAgain();
  }

  const whole = (text) => Math.max(1, Math.round(Number(text)) || 1);
  document.addEventListener("click", (event) => {
    const start = event.target.closest("[data-start]");
    if (start) presses.start(start.dataset.start, whole(start.dataset.count));
    if (event.target.closest("#other-start")) presses.start(find("#other-operation").value, whole(find("#other-count").value));
  });
  find("#typed").addEventListener("submit", (event) => {
    event.preventDefault();
    const value = (id) => find(`#typed-${id}`).value.trim();
    presses.type({ operation: value("operation"), count: whole(value("count")), took: value("took"), day: value("day"), note: value("note") });
    for (const id of ["took", "note"]) find(`#typed-${id}`).value = "";
  });
  presses.addEventListener("presses", draw);
  presses.addEventListener("made", () => { load(); fragmentAgain(); });
  addEventListener("fragment", () => {
    find("#operations").replaceChildren(...all("[data-operation]").map((each) => make("option", { value: each.dataset.operation })));
    draw();
  });
  document.addEventListener("visibilitychange", () => document.hidden || load());
  setInterval(tick, 1000);
  setInterval(() => document.hidden || load(), 20000);
  load();
}
