// The document as text: always works, keeps what was typed until it is saved, and shows both where two wrote.
import { ask, Away, faultWords } from "./ask.js";
import { lay, lift, lying } from "./kept.js";
import { find, make } from "./make.js";

export function textPage(keeper) {
  const area = find("#text"), state = find("#text-state"), box = find("#text-faults"), both = find("#text-both");
  const slot = keeper.textSlot;
  let base = 0, held = "";
  const draft = () => { try { return JSON.parse(lying(slot) ?? "null"); } catch { return null; } };
  const say = (words) => { state.textContent = words; keeper.typing(); };

  function take(said) {
    const kept = draft();
    held = said.text;
    if (kept && kept.text !== said.text) {
      base = kept.base;
      area.value = kept.text;
      say(kept.base === said.revision ? "Not saved: what you typed is kept here." : `Not saved: what you typed to revision ${kept.base} is kept here; revision ${said.revision} holds now.`);
    } else {
      lift(slot);
      base = said.revision;
      if (area.value !== said.text) area.value = said.text;
      say(`Saved, revision ${base}.`);
    }
    showFaults(said.faults ?? []);
  }

  function showFaults(faults) {
    box.hidden = !faults.length;
    box.replaceChildren(make("ul", {}, faults.map((fault, place) => make("li", {},
      faultWords([fault])[0], " ",
      fault.line ? make("button", { type: "button", onclick: () => goTo(fault.line) }, `Go to line ${fault.line}`) : null))));
  }

  function goTo(line) {
    const lines = area.value.split("\n"), begin = lines.slice(0, line - 1).join("\n").length + (line > 1 ? 1 : 0);
    area.focus();
    area.setSelectionRange(begin, begin + (lines[line - 1] ?? "").length);
    area.scrollTop = (area.scrollHeight / lines.length) * Math.max(line - 6, 0);
  }

  async function save(over) {
    if (area.value === held) { lift(slot); say(`Saved, revision ${base}.`); return; }
    say("Saving…");
    try {
      const { status, said } = await ask(keeper.url, { method: "PUT", body: { base: over ?? base, text: area.value }, key: await keyOf(area.value, over ?? base) });
      if (status === 200) { lift(slot); both.hidden = true; take(said); keeper.take(said); return; }
      if (status === 409 && said?.conflict) { showBoth(said.conflict.theirs); return; }
      say("Not saved: it has faults. What you typed is kept here.");
      showFaults(said?.faults ?? []);
    } catch (error) {
      if (!(error instanceof Away)) throw error;
      say("Not saved: the program does not answer. What you typed is kept here and tried again.");
      setTimeout(() => save(over), 4000);
    }
  }

  function showBoth(theirs) {
    say("Not saved: somebody else saved meanwhile. Both are shown.");
    both.hidden = false;
    both.replaceChildren(make("div", { class: "versions" },
      make("div", {}, make("h2", {}, `Theirs, revision ${theirs.revision}, ${theirs.saved_by}`), make("pre", { tabindex: 0 }, theirs.text)),
      make("div", {}, make("h2", {}, "Yours"), make("pre", { tabindex: 0 }, area.value))),
      make("p", { class: "wayto" },
        make("button", { type: "button", onclick: () => save(theirs.revision) }, "Save mine over theirs"),
        make("button", { type: "button", onclick: () => { lift(slot); both.hidden = true; area.value = ""; take(theirs); } }, "Take theirs")));
  }

  area.addEventListener("input", () => {
    lay(slot, JSON.stringify({ base, text: area.value }));
    say("Not saved: what you typed is kept here.");
  });
  area.addEventListener("keydown", (event) => { if ((event.ctrlKey || event.metaKey) && event.key === "s") { event.preventDefault(); save(); } });
  find("#text-save").addEventListener("click", () => save());
  keeper.addEventListener("held", () => take(keeper.held));
  if (keeper.held) take(keeper.held);
}

async function keyOf(text, base) {
  let a = 5381, b = 52711;
  for (let place = 0; place < text.length; place++) { const code = text.charCodeAt(place); a = ((a * 33) ^ code) >>> 0; b = ((b * 31) + code) >>> 0; }
  return `text-${base}-${text.length}-${a.toString(16)}${b.toString(16)}`;
}
