// What every page does: the lamp, what is not saved, undo and redo, what was worked out, and forms.
import { anew, soon } from "./anew.js";
import { ask, Away, faultWords } from "./ask.js";
import { Editor } from "./editor.js";
import { listen, written } from "./echo.js";
import { Keeper } from "./keeper.js";
import { lift, onlyHere } from "./kept.js";
import { all, find, make } from "./make.js";
import { Presses } from "./presses.js";
import { standing } from "./standing.js";

const job = document.body.dataset.job;
const shop = find("[data-shop]") !== null || find('[data-document="shop"]') !== null;
export const keeper = job ? new Keeper("job", job) : shop ? new Keeper("shop", "shop") : null;

find("#lamp").addEventListener("click", () => {
  const root = document.documentElement;
  const dark = root.dataset.lamp ? root.dataset.lamp === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
  root.dataset.lamp = dark ? "light" : "dark";
  try { localStorage.setItem("trialfit.lamp", root.dataset.lamp); } catch { /* it lasts for this page */ }
  dispatchEvent(new Event("lamp"));
});
// On paper nothing can be unfolded.
addEventListener("beforeprint", () => { for (const each of all("details:not([open])")) { each.open = true; each.dataset.forPaper = "yes"; } });
addEventListener("afterprint", () => { for (const each of all("details[data-for-paper]")) { each.open = false; delete each.dataset.forPaper; } });
find("#print")?.addEventListener("click", () => print());

const presses = job ? new Presses(job) : null;

function say() {
  const clock = presses?.waiting ?? [];
  const edits = [...keeper.edits, ...clock.map((press) => ({ ...press, state: press.faults ? "refused" : "waiting" }))], bad = edits.filter((edit) => edit.state !== "waiting").length;
  const badge = find("#saved"), typed = keeper.typed.length, lost = onlyHere() > 0;
  const words = !edits.length
    ? typed ? `Not saved: ${keeper.typed.some((each) => each.slot === keeper.textSlot) ? "the text" : "still being typed"}` : keeper.away ? `${keeper.because} Nothing is waiting` : keeper.held ? `Saved, revision ${keeper.revision}` : ""
    : bad ? `Not saved: ${bad} to look at` : lost ? `Not saved: ${edits.length} in this page alone` : `Not saved: ${edits.length} kept here`;
  const waits = edits.length || typed, shown = `${words} ${keeper.shut}`;
  if (badge.dataset.words !== shown) {
    badge.dataset.words = shown;
    badge.replaceChildren(waits ? make("button", { type: "button", class: "kept", onclick: showUnsaved }, words) : make("span", {}, words), ...(keeper.shut ? [" ", wayIn()] : []));
  }
  if (find("#unsaved").open) showUnsaved();
}

function wayIn() { return make("a", { class: "button", href: `/enter?next=${encodeURIComponent(location.pathname + location.search)}` }, "Give the passcode"); }

function clockEdits() {
  return (presses?.waiting ?? []).map((press) => ({ press, id: press.id, faults: press.faults, state: press.faults ? "refused" : "waiting", changes: [{ path: ["clock", press.kind, press.operation] }] }));
}

function showUnsaved() {
  const shown = (value) => (value === null || value === undefined ? "nothing" : typeof value === "string" ? value : JSON.stringify(value, null, 1));
  const list = [...keeper.edits, ...clockEdits()].map((edit) => {
    const what = edit.changes.map((change) => change.path.join(", ")).join("; ");
    const section = make("section", { class: "sheet" }, make("h3", {}, what));
    if (edit.state === "conflict") {
      section.append(
        make("p", {}, `Somebody else (${edit.theirs.by}) changed the same thing in revision ${edit.theirs.revision}.`),
        make("div", { class: "versions" },
          make("div", {}, make("h4", {}, "Yours"), make("pre", { tabindex: 0 }, edit.changes.map((change) => shown(change.value)).join("\n"))),
          make("div", {}, make("h4", {}, "Theirs"), make("pre", { tabindex: 0 }, edit.theirs.values.map(shown).join("\n")))),
        make("p", { class: "wayto" },
          make("button", { type: "button", onclick: () => { keeper.keepMine(edit.id); showUnsaved(); } }, "Keep mine"),
          make("button", { type: "button", onclick: () => { keeper.drop(edit.id); showUnsaved(); } }, "Take theirs")));
    } else if (edit.state === "refused") {
      section.append(
        make("ul", {}, faultWords(edit.faults).map((words) => make("li", { class: "infault" }, words))),
        make("p", {}, make("button", { type: "button", onclick: () => { (edit.press ? presses : keeper).drop(edit.id); showUnsaved(); } }, "Leave it as it was")));
    } else section.append(make("p", {}, `Kept in this browser until the program saves it${keeper.away ? `. ${keeper.because ?? ""} It is tried again by itself.` : "."}`));
    return section;
  });
  for (const each of keeper.typed) {
    const isText = each.slot === keeper.textSlot;
    list.push(make("section", { class: "sheet" }, make("h3", {}, each.path.join(", ")),
      make("p", {}, isText ? "What was typed there is kept in this browser." : `“${each.text}” was typed and stands in its field still: leave the field, or press Enter there, and it is saved.`),
      make("p", { class: "wayto" }, isText ? make("a", { class: "button", href: job ? `/jobs/${encodeURIComponent(job)}/document` : "/shop/document" }, "To the text") : make("button", { type: "button", onclick: () => { lift(each.slot); keeper.typing(); location.reload(); } }, "Leave it as it was"))));
  }
  if (onlyHere()) list.unshift(make("p", { class: "infault" }, "This browser has no room to keep it, or may not: what is not saved would go with this page. Leave the page open until it is saved."));
  if (keeper.shut) list.unshift(make("p", {}, wayIn()));
  find("#unsaved-list").replaceChildren(...(list.length ? list : [make("p", {}, "Everything is saved.")]));
  if (!find("#unsaved").open) find("#unsaved").showModal();
}
find("#unsaved-shut").addEventListener("click", () => find("#unsaved").close());

let paper = "a4";

/** What was unfolded, chosen or typed in a fragment stays so, and what is fetched for it later has its room meanwhile. */
function filled(element, said) {
  const open = all("details[open] > summary", element).map((each) => each.textContent);
  const typed = all("input[id], select[id]", element).map((each) => [each.id, each.value]);
  const inner = new Map(all("[data-fragment]", element).map((each) => [each.dataset.fragment, each.innerHTML]));
  element.innerHTML = said;  // our own page, every word of it escaped
  for (const each of all("details > summary", element)) if (open.includes(each.textContent)) each.parentElement.open = true;
  for (const [id, value] of typed) { const there = document.getElementById(id); if (there) there.value = value; }
  for (const each of all("[data-fragment]", element)) if (inner.get(each.dataset.fragment)) each.innerHTML = inner.get(each.dataset.fragment);
}

async function fetchFragment(element) {
  const turn = (element.turn = (element.turn ?? 0) + 1);
  element.setAttribute("aria-busy", "true");
  try {
    const { status, said } = await ask(`${element.dataset.fragment}?paper=${paper}`);
    await new Promise(soon);
    if (turn !== element.turn) return;
    if (status !== 200 || typeof said !== "string") {
      anew(element, () => element.replaceChildren(make("section", { class: "faults", role: "alert" }, make("h2", {}, "It cannot be shown"), make("ul", {}, faultWords(said?.faults).map((words) => make("li", {}, words))), ...(status === 401 ? [wayIn()] : []))));
      element.removeAttribute("aria-busy");
      return;
    }
    anew(element, () => filled(element, said));
    for (const each of all("[data-paper]", element)) each.addEventListener("click", () => { paper = each.dataset.paper; fetchFragment(element); });
    element.removeAttribute("aria-busy");
    stamps(element);
    for (const each of all("[data-fragment]", element)) fetchFragment(each);
    toWhatWasAsked();
    dispatchEvent(new Event("fragment"));
  } catch (error) {
    if (!(error instanceof Away)) throw error;
    setTimeout(() => fetchFragment(element), 3000);
  }
}

/** The card keeps the stamp of every place; what the bench said last is remembered for the other views. */
function stamps(element) {
  if (!job) return;
  const key = `trialfit.stamps:${job}`;
  let kept = {};
  try { kept = JSON.parse(sessionStorage.getItem(key) ?? "{}"); } catch { /* begin anew */ }
  for (const each of element ? all("[data-place]", element) : []) kept[each.dataset.place] = each.dataset.answer;
  if (element) try { sessionStorage.setItem(key, JSON.stringify(kept)); } catch { /* it is only a reminder */ }
  for (const each of all("[data-stop]")) {
    const answer = kept[each.dataset.stop] ?? "";
    find(".stamp", each).className = `stamp ${answer}`;
    if (answer) each.setAttribute("aria-label", `${find(".stopname", each).textContent}: ${answer}`);
  }
}

/** The place in the page that the address names, such as a bag from its label, comes into view and stays marked. */
let asked = decodeURIComponent(location.hash.slice(1)), moved = false;
function toWhatWasAsked() {
  const there = asked && document.getElementById(asked);
  for (const each of all(".wanted")) if (each !== there) each.classList.remove("wanted");
  if (!there) return;
  there.classList.add("wanted");
  if (!moved) { there.scrollIntoView({ block: "center" }); there.focus({ preventScroll: true }); }
}
for (const by of ["wheel", "touchmove", "pointerdown", "keydown"]) addEventListener(by, () => { moved = true; }, { passive: true });
addEventListener("hashchange", () => { asked = decodeURIComponent(location.hash.slice(1)); moved = false; toWhatWasAsked(); });
toWhatWasAsked();

/** A button that can no longer be pressed hands the keys on to the other. */
function able(which, can, other) {
  const button = find(which), had = button && document.activeElement === button;
  if (!button) return;
  button.disabled = !can;
  if (had && !can && find(other)) { find(other).disabled = false; find(other).focus(); }
}

function fragments() { for (const each of all("[data-fragment]")) fetchFragment(each); }

if (keeper) {
  presses?.addEventListener("presses", say);
  keeper.addEventListener("edits", say);
  keeper.addEventListener("typing", say);
  keeper.addEventListener("held", () => {
    say();
    for (const each of all("[data-revision-shown]")) each.textContent = keeper.revision;
    able("#undo", keeper.held.undo_to, "#redo");
    able("#redo", keeper.held.redo_to, "#undo");
    fragments();
  });
  for (const which of ["undo", "redo"]) find(`#${which}`)?.addEventListener("click", () => keeper.step(which).catch(() => keeper.refresh()));
  addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || /^(INPUT|TEXTAREA|SELECT)$/.test(event.target.tagName)) return;
    if (event.key === "z") { event.preventDefault(); find(event.shiftKey ? "#redo" : "#undo")?.click(); }
    if (event.key === "y") { event.preventDefault(); find("#redo")?.click(); }
  });
  const editors = all(".editor");
  if (editors.length) {
    ask(`/shapes/${job ? "job" : "shop"}`).then(({ said }) => { for (const each of editors) new Editor(each, keeper, said); });
  }
  keeper.refresh();
  setInterval(() => document.hidden || (keeper.away || keeper.edits.length ? keeper.send() : keeper.refresh()), 20000);
  stamps(null);
} else fragments();

// The program's days and hours are UTC; the bench's clock is not.
for (const each of all("time[datetime]")) {
  const at = new Date(each.dateTime), two = (number) => String(number).padStart(2, "0");
  if (!Number.isNaN(at.getTime())) each.textContent = `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())} ${two(at.getHours())}:${two(at.getMinutes())}`;
}

for (const input of all("input[data-kind]")) listen(input, input.parentElement.querySelector(".echo"), input.dataset.kind);

// A job's name is a folder's on every machine: what is typed becomes one, before one's eyes.
find("#new-name")?.addEventListener("change", ({ target }) => {
  const plain = target.value.replace(/ß/g, "ss").replace(/([äöüÄÖÜ])/g, (each) => `${each}e`).normalize("NFKD").replace(/\p{M}/gu, "");
  target.value = plain.trim().replace(/[^A-Za-z0-9._-]+/g, "-").replace(/^[^A-Za-z0-9]+|[.-]+$/g, "").slice(0, 80);
});

find("#newjob")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const value = (id) => find(`#new-${id}`).value.trim();
  const name = value("name"), today = new Date(), two = (n) => String(n).padStart(2, "0");
  const document_ = {
    format: 1,
    job: { name, owner: value("owner"), date: `${today.getFullYear()}-${two(today.getMonth() + 1)}-${two(today.getDate())}` },
    engine: { name: value("engine"), working_pressure: await written(value("pressure"), "pressure") },
  };
  const box = find("#newjob-faults");
  try {
    const { status, said } = await ask("/api/jobs", { method: "POST", body: { name, document: document_ }, key: `new-${name.replace(/[^\x21-\x7e]/g, "_")}-${Date.now()}`.slice(0, 80) });
    if (status === 201) { location.href = `/jobs/${encodeURIComponent(name)}`; return; }
    box.replaceChildren(make("ul", {}, faultWords(said?.faults).map((words) => make("li", {}, words))));
  } catch { box.replaceChildren(make("p", {}, "Not saved: the program does not answer. What you typed stays here; press again.")); }
  box.hidden = false;
});

find("#enter")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const box = find("#enter-faults");
  try {
    const { status, said } = await ask("/api/entry", { method: "POST", body: { passcode: find("#passcode").value } });
    if (status === 200) { location.href = find("#enter").dataset.next + location.hash; return; }
    box.replaceChildren(make("ul", {}, faultWords(said?.faults).map((words) => make("li", {}, words))));
  } catch { box.replaceChildren(make("p", {}, "The program does not answer.")); }
  box.hidden = false;
});

if (find("#prices")) import("./prices.js").then(({ pricesPanel }) => pricesPanel(keeper));
if (find("#typed")) import("./times.js").then(({ timesPage }) => timesPage(job, presses, () => fetchFragment(find("#held"))));
presses?.send();

standing(job, keeper);
import("./left.js").then(({ leftElsewhere }) => leftElsewhere(job ? `job/${job}` : shop ? "shop" : ""));

if (find("#text")) import("./text.js").then(({ textPage }) => textPage(keeper));

// The stop one stands at is in view, however narrow the screen.
{
  const here = find(".stops [aria-current]"), row = find(".stops ol");
  if (here && row) row.scrollLeft = here.offsetLeft - row.offsetLeft - 40;
}
