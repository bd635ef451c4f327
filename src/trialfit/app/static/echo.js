// What is typed freely, echoed as it is understood.
import { ask } from "./ask.js";

const known = new Map();

export async function understood(text, kind) {
  const key = `${kind}|${text}`;
  if (!known.has(key)) {
    const { status, said } = await ask(`/understood?kind=${encodeURIComponent(kind)}&text=${encodeURIComponent(text)}`);
    if (status !== 200) return { written: null, echo: "" };
    known.set(key, said);
  }
  return known.get(key);
}

/** What is to be written where the program cannot be asked: the same rules, for the usual cases. */
export function byOurselves(text, kind) {
  const typed = text.trim();
  if (kind === "length" && /^[+-]?\s*(\d+[\s-]+)?\d+\s*\/\s*\d+$/.test(typed)) return `${typed} in`;
  const units = { length: "mm", angle: "deg", pixels: "px", pressure: "psi", temperature: "C", mass: "g", time: "s", power: "kW" };
  if (units[kind] && /^[+-]?\s*(\d+[.,]?\d*|[.,]\d+)$/.test(typed)) return `${typed.replace(",", ".")} ${units[kind]}`;
  return typed;
}

export function listen(input, output, kind) {
  let turn = 0, later = 0;
  const say = async () => {
    const mine = ++turn;
    if (!input.value.trim()) { output.textContent = ""; return; }
    try {
      const { echo } = await understood(input.value, kind);
      if (mine === turn) output.textContent = echo ? `= ${echo}`.replace("= Not", "Not") : "";
    } catch { output.textContent = ""; }
  };
  input.addEventListener("input", () => { clearTimeout(later); later = setTimeout(say, 120); });
  if (input.value) say();
}

export async function written(text, kind) {
  try { return (await understood(text, kind)).written ?? text.trim(); } catch { return byOurselves(text, kind); }
}
