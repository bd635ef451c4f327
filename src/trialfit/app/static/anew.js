// Whoever goes by keys stays where he stood, though what stands there is made anew.
import { all } from "./make.js";

const STOPS = "a[href], button, input, select, textarea, summary, [tabindex]";

function sign(stop) {
  const near = stop.closest("[data-path]")?.dataset.path ?? "";
  const words = stop.matches("input, select, textarea") ? stop.labels?.[0]?.textContent : stop.matches("summary") && near ? "" : stop.textContent;
  return [stop.tagName, near, stop.getAttribute("aria-label") ?? words].join("|");
}

export function anew(root, make) {
  const here = root.contains(document.activeElement) && document.activeElement !== root ? document.activeElement : null;
  if (!here) { make(); return; }
  const mine = sign(here), before = all(STOPS, root), place = before.indexOf(here), nth = before.filter((each) => sign(each) === mine).indexOf(here);
  const marked = here.matches("input[type=text], textarea") ? [here.selectionStart, here.selectionEnd] : null;
  make();
  if (root.contains(document.activeElement) && document.activeElement !== root) return;
  const after = all(STOPS, root), alike = after.filter((each) => sign(each) === mine);
  // What was taken out leaves the next in its place.
  const stop = alike[Math.min(nth, alike.length - 1)] ?? after[Math.min(place, after.length - 1)];
  stop?.focus({ preventScroll: true });
  if (marked && stop?.matches("input[type=text], textarea")) stop.setSelectionRange(...marked);
}

// A press is of what stood under the finger when it came down: nothing is made anew before the finger is up again.
let down = false;
const waiting = new Set();
const up = () => { down = false; setTimeout(() => { if (!down) for (const act of waiting) { waiting.delete(act); act(); } }); };
addEventListener("pointerdown", () => { down = true; }, true);
for (const kind of ["pointerup", "pointercancel", "keydown", "dragend"]) addEventListener(kind, up, true);
addEventListener("blur", up);
addEventListener("pointermove", (event) => { if (down && event.pointerType === "mouse" && !event.buttons) up(); }, true);

export function soon(act) {
  waiting.add(act);
  setTimeout(() => { if (!down && waiting.delete(act)) act(); });
}
