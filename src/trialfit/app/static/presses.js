// Presses of the bench's clock, kept in the browser until the program has them: none lost, none doubled.
//
// A press is written down with the moment it was made before it is sent, and sent with how long ago that was, so that
// neither a tablet whose clock is wrong nor one that slept makes a time longer or shorter. It goes under a key of its
// own: sent twice, it is made once. Presses go in the order they were made.
import { ask, Away } from "./ask.js";
import { lay, lift, under } from "./kept.js";

const SLOT = "trialfit.press:";
const AGAIN_MS = [400, 1000, 2000, 4000, 8000];

function unique() {
  return [...crypto.getRandomValues(new Uint8Array(12))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

export class Presses extends EventTarget {
  constructor(job) {
    super();
    this.slot = `${SLOT}${job}:`;
    this.url = `/api/jobs/${encodeURIComponent(job)}`;
    this.tries = 0;
    this.seen = 0;
    this.sending = false;
    for (const by of ["online", "focus", "pageshow"]) addEventListener(by, () => this.send());
    document.addEventListener("visibilitychange", () => document.hidden || this.send());
    addEventListener("storage", (event) => event.key?.startsWith(this.slot) && this.dispatchEvent(new Event("presses")));
  }

  get waiting() { return under(this.slot).sort((a, b) => (a.id < b.id ? -1 : 1)); }

  start(operation, count) { return this.#keep("start", { operation, count }); }
  stop(clock, operation, keep, note) { return this.#keep("stop", { clock, operation, keep, note }); }
  type(typed) { return this.#keep("type", typed); }

  drop(id) { lift(this.slot + id); this.dispatchEvent(new Event("presses")); this.send(); }

  #keep(kind, given) {
    const id = `${Date.now().toString().padStart(15, "0")}-${(this.seen++).toString().padStart(3, "0")}-${unique()}`;
    lay(this.slot + id, JSON.stringify({ id, kind, at: Date.now(), ...given }));
    this.dispatchEvent(new Event("presses"));
    this.send();
    return id;
  }

  async send() {
    if (this.sending) return;
    this.sending = true;
    clearTimeout(this.later);
    try {
      for (let press; (press = this.waiting.find((each) => !each.faults)); ) await this.#sendOne(press);
      this.away = "";
    } catch (error) {
      this.away = error instanceof Away ? error.message : String(error);
      this.later = setTimeout(() => this.send(), AGAIN_MS[Math.min(this.tries++, AGAIN_MS.length - 1)]);
    } finally {
      this.sending = false;
      this.dispatchEvent(new Event("presses"));
    }
  }

  async #sendOne(press) {
    const ago_s = Math.max(0, (Date.now() - press.at) / 1000);
    const [path, body] = press.kind === "start" ? ["/clocks", { operation: press.operation, count: press.count, ago_s }]
      : press.kind === "stop" ? [`/clocks/${encodeURIComponent(press.clock)}/stop`, { ago_s, keep: press.keep, note: press.note ?? "" }]
      : ["/times", { operation: press.operation, count: press.count, took: press.took, day: press.day ?? "", note: press.note ?? "" }];
    const { status, said } = await ask(this.url + path, { method: "POST", body, key: press.id });
    if (status >= 500 || [401, 403, 408, 421, 429].includes(status)) throw new Away(status === 401 ? "The passcode is wanted again." : "The program cannot save at the moment.");
    this.tries = 0;
    if (status === 200 || status === 201) lift(this.slot + press.id);
    else lay(this.slot + press.id, JSON.stringify({ ...press, faults: said?.faults ?? [{ what: "this press", got: `answer ${status}`, wanted: "one that can be saved", remedy: "Load the page anew." }] }));
    this.dispatchEvent(new Event("made"));
  }
}
