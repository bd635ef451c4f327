// Keeps every edit in the browser until the program has saved it: no edit lost, none doubled, both versions shown.
//
// An edit is laid down in the browser before anything is sent, and taken out when the program says it is saved. It is
// sent under a name that follows from itself and the revision it is made to, so that sending it twice, from this page
// or another, makes it once. Where somebody else saved meanwhile, it is sent again over theirs if they touched
// something else; if they touched the same thing, both are shown.
import { ask, Away, faultWords } from "./ask.js";
import { lay, lift, lying, under } from "./kept.js";

const PREFIX = "trialfit.edit:";
const AGAIN_MS = [400, 1000, 2000, 4000, 8000];

export const at = (tree, path) => path.reduce((here, key) => (here === null || here === undefined ? undefined : here[key]), tree);
export const same = (a, b) => JSON.stringify(sorted(a ?? null)) === JSON.stringify(sorted(b ?? null));

function sorted(value) {
  if (Array.isArray(value)) return value.map(sorted);
  if (value && typeof value === "object") return Object.fromEntries(Object.keys(value).sort().map((key) => [key, sorted(value[key])]));
  return value;
}

export function put(tree, path, value) {
  const [key, ...rest] = path;
  const made = Array.isArray(tree) ? [...tree] : { ...(tree ?? {}) };
  if (rest.length) made[key] = put(made[key] ?? (rest[0] === 0 ? [] : {}), rest, value);
  else if (value === null) Array.isArray(made) ? made.splice(key, 1) : delete made[key];
  else made[key] = value;
  return made;
}

function unique() {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Whether changes are all of what an edit changes, or of something in it. */
const inside = (changes, edit) => changes.every((change) => edit.changes.some((was) => was.path.every((key, place) => change.path[place] === key)));

function joined(first, then) {
  let tree = {};
  for (const change of [...first, ...then]) tree = put(tree, change.path, change.value);
  return first.map((was) => ({ path: was.path, value: at(tree, was.path) ?? null }));
}

const renamed = (id) => id.replace(/-[0-9a-f]+$/, `-${unique()}`);

export class Keeper extends EventTarget {
  constructor(kind, name) {
    super();
    this.kind = kind;
    this.name = name;
    this.url = kind === "shop" ? "/api/shop" : `/api/jobs/${encodeURIComponent(name)}`;
    this.slot = `${PREFIX}${kind}/${name}:`;
    this.typedSlot = `trialfit.typed:${kind}/${name}:`;
    this.textSlot = `trialfit.text:${kind}/${name}`;
    this.held = null;
    this.away = this.shut = false;
    this.tries = 0;
    this.sending = false;
    this.seen = 0;
    addEventListener("online", () => this.send());
    addEventListener("focus", () => this.send());
    addEventListener("pageshow", () => this.send());
    document.addEventListener("visibilitychange", () => document.hidden || this.refresh());
    addEventListener("storage", (event) => {
      if (event.key?.startsWith(this.slot)) this.#tell("edits");
      if (event.key === `trialfit.saved:${kind}/${name}`) this.refresh();
    });
  }

  get edits() { return under(this.slot).sort((a, b) => (a.id < b.id ? -1 : 1)); }

  /** What stands in a field and was not given yet, and the text that was typed and not saved. */
  get typed() { return [...under(this.typedSlot), ...(lying(this.textSlot) === null ? [] : [{ slot: this.textSlot, path: ["the text"] }])]; }

  typing() { this.#tell("typing"); }

  get document() {
    let tree = this.held?.document ?? {};
    for (const edit of this.edits) for (const change of edit.changes) tree = put(tree, change.path, change.value);
    return tree;
  }

  get revision() { return this.held?.revision ?? 0; }

  take(held) {
    if (this.held && held.revision === this.held.revision) { this.held = held; return; }
    this.held = held;
    this.#tell("held");
  }

  async refresh() {
    try {
      const { status, said } = await ask(this.url);
      if (status === 200) { this.#answered(); this.take(said); }
      else if (status === 401 || status >= 500) throw this.#turnedAway(status, said);
    } catch (error) { this.#missed(error); }
    this.send();
  }

  /** Keep an edit, and send it. Changes made to a thing that was refused are joined to it, and it is tried anew. */
  edit(changes, words = "") {
    const before = this.held?.document ?? {};
    let id = `${Date.now().toString().padStart(15, "0")}-${(this.seen++).toString().padStart(4, "0")}-${unique()}`;
    let all = changes;
    for (const old of this.edits.filter((edit) => edit.state === "refused" && inside(changes, edit))) {
      all = joined(old.changes, changes);
      this.#drop(old);
      id = renamed(old.id);
    }
    const edit = { id, base: this.revision, changes: all, was: all.map((change) => at(before, change.path) ?? null), words, state: "waiting" };
    this.#write(edit);
    this.#tell("edits");
    this.send();
    return edit.id;
  }

  drop(id) {
    const edit = this.edits.find((each) => each.id === id);
    if (edit) this.#drop(edit);
    this.#tell("edits");
    this.#tell("held");
  }

  keepMine(id) {
    const edit = this.edits.find((each) => each.id === id);
    if (!edit) return;
    this.#write({ ...edit, base: edit.theirs.revision, was: edit.theirs.values, state: "waiting", theirs: undefined });
    this.#tell("edits");
    this.send();
  }

  async step(which) {
    const { status, said } = await ask(`${this.url}/${which}`, { method: "POST", body: { base: this.revision }, key: `${which}-${unique()}` });
    if (status === 200) { this.take(said); this.#spread(); }
    else if (status === 409) await this.refresh();
    return { status, said };
  }

  async send() {
    if (this.sending || !this.held) return;
    this.sending = true;
    clearTimeout(this.later);
    try {
      for (let edit; (edit = this.edits.find((each) => each.state === "waiting")); ) {
        if (!(await this.#sendOne(edit))) break;
      }
    } catch (error) {
      this.#missed(error);
      this.later = setTimeout(() => this.send(), AGAIN_MS[Math.min(this.tries++, AGAIN_MS.length - 1)]);
    } finally {
      this.sending = false;
      this.#tell("edits");
    }
  }

  async #sendOne(edit) {
    const body = { base: edit.base, changes: edit.changes };
    const { status, said } = await ask(`${this.url}/changes`, { method: "POST", body, key: `${edit.id}.${edit.base}` });
    if (status === 200) {
      this.#answered();
      this.#drop(edit);
      for (const next of this.edits) if (next.state === "waiting" && next.base <= edit.base) this.#write({ ...next, base: said.revision });
      this.take(said);
      this.#spread();
      return true;
    }
    if (status === 409) { await this.#meet(edit); return true; }
    if (status >= 500 || status === 401 || status === 403 || status === 429 || status === 421) throw this.#turnedAway(status, said);
    this.#answered();
    // What was added to it while it was on its way may be just what it lacked.
    const later = this.edits.filter((each) => each.state === "waiting" && each.id > edit.id && inside(each.changes, edit));
    if (later.length) {
      this.#write({ ...edit, id: renamed(edit.id), changes: later.reduce((all, each) => joined(all, each.changes), edit.changes) });
      for (const each of [edit, ...later]) this.#drop(each);
      return true;
    }
    this.#write({ ...edit, state: "refused", faults: said?.faults ?? [{ what: "this change", got: `answer ${status}`, wanted: "a change that can be saved", remedy: "Look at it again." }] });
    return true;
  }

  /** Somebody else saved meanwhile. */
  async #meet(edit) {
    const { status, said } = await ask(this.url);
    if (status !== 200) throw new Away("The program cannot save at the moment.");
    this.#answered();
    const values = edit.changes.map((change) => at(said.document ?? {}, change.path) ?? null);
    const untouched = edit.changes.every((change, place) => same(values[place], edit.was[place]) || same(values[place], change.value));
    if (untouched && said.revision !== edit.base) this.#write({ ...edit, base: said.revision, was: values });
    else this.#write({ ...edit, state: "conflict", theirs: { revision: said.revision, by: said.saved_by, values } });
    this.take(said);
  }

  /** Why it cannot be now: a disk that is full is said by name. */
  #turnedAway(status, said) {
    this.shut = status === 401;
    return new Away(this.shut ? "The passcode is wanted again." : ["The program cannot save at the moment.", ...faultWords(said?.faults)].join(" "));
  }

  #answered() { this.tries = 0; this.shut = false; if (this.away) { this.away = false; this.#tell("edits"); } }
  #missed(error) { this.away = true; this.because = error instanceof Away ? error.message : String(error); this.#tell("edits"); }
  #write(edit) { lay(this.slot + edit.id, JSON.stringify(edit)); }
  #drop(edit) { lift(this.slot + edit.id); }
  #spread() { try { localStorage.setItem(`trialfit.saved:${this.kind}/${this.name}`, `${this.revision} ${Date.now()}`); } catch { /* other pages ask by themselves, later */ } }
  #tell(what) { this.dispatchEvent(new Event(what)); }
}
