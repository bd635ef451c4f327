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
  const units = { length: "mm", angle: "deg", pixels: "px", pressure: "psi", temperature: "C", mass: "g", time: "s", power: "kW", torque: "N·m", force: "N", flow: "mL/min", volume: "mL", share: "%", turns: "turn", "threads per inch": "tpi", "wire gauge": "swg" };
  if (units[kind] && /^[+-]?\s*(\d+[.,]?\d*|[.,]\d+)$/.test(typed)) return `${typed.replace(",", ".")} ${units[kind]}`;
  return units[kind] ? typed.replace(/^([+-]?\s*\d*),(\d)/, "$1.$2") : typed;
}

const words = (echo) => (echo ? `= ${echo}`.replace("= Not", "Not") : "");

export function listen(input, output, kind, several = false) {
  let turn = 0, later = 0;
  const say = async () => {
    const mine = ++turn, parts = (several ? input.value.split(";") : [input.value]).filter((each) => each.trim());
    if (!parts.length) { output.textContent = ""; return; }
    try {
      const echoes = await Promise.all(parts.map((each) => understood(each.trim(), kind)));
      if (mine === turn) output.textContent = echoes.map((each) => words(each.echo)).join("; ");
    } catch { output.textContent = ""; }
  };
  input.addEventListener("input", () => { clearTimeout(later); later = setTimeout(say, 120); });
  if (several) input.addEventListener("focus", say); else if (input.value) say();
}

/** What is to be written for what was typed; `now` where nobody can wait for the program. */
export async function written(text, kind, now = false) {
  const typed = text.trim(), there = known.get(`${kind}|${text}`) ?? known.get(`${kind}|${typed}`);
  if (now) return there?.written ?? byOurselves(text, kind);
  try { return (await understood(text, kind)).written ?? byOurselves(text, kind); } catch { return byOurselves(text, kind); }
}
