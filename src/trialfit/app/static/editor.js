// A part of a document as fields and tables, made from what may stand where; every change is kept and sent at once.
import { anew, soon } from "./anew.js";
import { faultWords } from "./ask.js";
import { listen, written } from "./echo.js";
import { at, same } from "./keeper.js";
import { lay, lift, lying } from "./kept.js";
import { make } from "./make.js";
import { isAssumed } from "./prices.js";

const SIMPLE = new Set(["text", "number", "whole", "yes", "day", "choice", "measure", "amount", "any"]);
// What is seen at one look: a table, its other fields folded under each row.
const TABLED = { parts: ["kind", "what"], joints: ["a", "b", "angle"] };
const spoken = (key) => String(key).replaceAll("_", " ");
// A list of one may be written as that one alone.
const listed = (value) => (value === undefined || value === null ? [] : Array.isArray(value) ? value : [value]);
let editors = 0;

/** What was found of each joint, beside it. */
function mated(root) {
  const found = new Map([...document.querySelectorAll(".finding")].map((each) => [each.querySelector(".about")?.textContent, each.querySelector(".verdict")]));
  for (const each of root.querySelectorAll("[data-mates]")) {
    const [a, b] = each.dataset.mates.split(" and "), verdict = found.get(`${a} and ${b}`) ?? found.get(`${b} and ${a}`);
    each.replaceChildren(verdict ? verdict.cloneNode(true) : "not asked yet");
  }
}
addEventListener("fragment", () => mated(document));
// What was given and waits for its meaning is written down as it stands when the page goes.
addEventListener("pagehide", () => { for (const each of document.querySelectorAll("[data-giving]")) each.dispatchEvent(new Event("give")); });

export class Editor {
  constructor(root, keeper, shapes) {
    Object.assign(this, { root, keeper, shapes, section: root.dataset.section, short: new Map(), mine: `e${editors++}`, ids: 0 });
    const draw = () => this.draw();
    keeper.addEventListener("held", () => soon(draw));
    keeper.addEventListener("edits", () => soon(draw));
    // What is said of a field goes only when the finger is up again: the page must not move from under it.
    root.addEventListener("focusin", (event) => event.target.matches("input, select, textarea") && event.target.closest(".field")?.classList.add("told"));
    root.addEventListener("focusout", (event) => soon(() => { const field = event.target.closest(".field"); if (field && !field.contains(document.activeElement)) field.classList.remove("told"); }));
    root.addEventListener("focusout", () => this.late && soon(draw));
    if (keeper.held) this.draw();
  }

  id() { return `${this.mine}-${this.ids++}`; }

  draw() {
    if (!this.keeper.held) return;
    // Nothing is taken from under a hand that writes.
    if (this.root.contains(document.activeElement) && /^(INPUT|SELECT|TEXTAREA)$/.test(document.activeElement.tagName) && document.activeElement.dataset.dirty) { this.late = true; return; }
    this.late = false;
    const tree = this.keeper.document;
    const now = JSON.stringify([tree[this.section] ?? (this.section ? null : tree), this.keeper.edits]);
    if (now === this.drawn) return;
    this.drawn = now;
    const open = [...this.root.querySelectorAll("details[open]")].map((each) => each.dataset.path);
    this.ids = 0;
    anew(this.root, () => {
      this.root.replaceChildren(...(this.keeper.held.document ? this.tops(tree) : [this.unread()]));
      for (const each of this.root.querySelectorAll("details")) if (open.includes(each.dataset.path)) each.open = true;
    });
  }

  tops(tree) {
    const fields = this.shapes[""].fields.filter((field) => !this.section || field.key === this.section);
    return fields.filter((field) => field.key !== "format").map((field) => this.top(field, at(tree, [field.key])));
  }

  /** A text with faults is not shown as though nothing stood in it. */
  unread() { return make("section", {}, make("h3", {}, spoken(this.section)), make("p", {}, "The text of it has faults: what stands here cannot be shown before they are mended there.")); }

  top(field, value) {
    if (this.isSimple(field.shape)) return make("section", {}, this.field(field, value, [field.key]));
    return make("section", {}, make("h3", {}, spoken(field.key)), make("p", { class: "asks" }, field.about), this.inside(field.shape, value, [field.key]));
  }

  inside(shape, value, path) {
    if (shape.is === "record") return this.record(shape, value ?? {}, path);
    if (shape.is === "named") return this.several(shape.of, Object.entries(value && typeof value === "object" ? value : {}), path, true);
    if (shape.is === "list") return this.several(shape.of, listed(value).map((each, place) => [place, each]), path, false);
    return this.field({ key: path.at(-1), shape, about: "", example: "" }, value, path);
  }

  /** A table of several of a kind, each cell written in its place. */
  table(shape, entries, path, named) {
    const columns = TABLED[path[0]], fields = columns.map((key) => this.shapes[shape.of].fields.find((field) => field.key === key));
    const heads = [named ? "Name" : "No.", ...columns.map(spoken), named ? "Ports" : "Mates"];
    const rows = entries.flatMap(([key, value]) => {
      const mine = [...path, key], edit = this.editAt(mine), title = named ? String(key) : `${spoken(path[0]).replace(/s$/, "")} ${key + 1}`;
      const cells = fields.map((field) => make("td", { "data-head": spoken(field.key) }, this.field(field, value?.[field.key], [...mine, field.key], `${spoken(field.key)} of ${title}`)));
      const last = named ? make("td", { "data-head": "Ports" }, this.portsOf(value)) : make("td", { "data-head": "Mates" }, make("span", { class: "mates", "data-mates": `${value?.a} and ${value?.b}` }));
      const out = make("button", { type: "button", "aria-label": `Take out ${title}`, onclick: () => this.remove(path, key, named) }, "Take out");
      const more = make("details", { "data-path": mine.join("\n") }, make("summary", {}, `More of ${title}`), edit?.state === "refused" ? this.faults(edit) : null, this.record(shape, value ?? {}, mine, columns), out);
      if (edit?.state === "refused") more.open = true;
      return [
        make("tr", { class: edit?.state === "refused" ? "row refused" : "row" }, make("th", { scope: "row" }, named ? title : String(key + 1)), cells, last),
        make("tr", { class: "more" }, make("td", { colspan: heads.length }, more)),
      ];
    });
    setTimeout(() => mated(this.root));
    return make("div", {},
      make("div", { class: "wide", tabindex: 0, role: "group", "aria-label": spoken(path[0]) }, make("table", { class: "written" }, make("thead", {}, make("tr", {}, heads.map((head) => make("th", { scope: "col" }, head)))), make("tbody", {}, rows))),
      this.adder(shape, entries, path, named));
  }

  portsOf(value) {
    return Object.entries(value?.ports ?? {}).map(([name, port]) => make("div", {}, make("b", {}, name), ` ${[port.thread, port.gender, port.tube ?? port.socket].filter(Boolean).join(" ")}`));
  }

  /** Several of a kind, by name or in order. */
  several(shape, entries, path, named) {
    if (path.length === 1 && TABLED[path[0]] && entries.length) return this.table(shape, entries, path, named);
    const rows = entries.map(([key, value]) => this.row(shape, key, value, path, named, entries.length));
    const box = make("div", {}, rows, this.adder(shape, entries, path, named));
    if (entries.length > 12) return make("details", { "data-path": path.join("\n") }, make("summary", {}, `${entries.length} of them`), box);
    return box;
  }

  row(shape, key, value, path, named, count) {
    const mine = [...path, key], edit = this.editAt(mine), refused = edit?.state === "refused";
    const title = named ? String(key) : `${spoken(path.at(-1)).replace(/s$/, "")} ${key + 1}`;
    const out = make("button", { type: "button", "aria-label": `Take out ${title}`, onclick: () => this.remove(path, key, named) }, "Take out");
    const faults = refused ? this.faults(edit) : null;
    const isFlat = shape.is === "record" && this.shapes[shape.of].fields.length < 5 && this.shapes[shape.of].fields.every((field) => this.isSimple(field.shape));
    if (isFlat || shape.is !== "record") {
      return make("div", { class: `row ${refused ? "refused" : ""}` }, make("b", {}, title), faults, make("div", { class: "inline" }, this.inside(shape, value, mine), out));
    }
    const plain = Object.values(value ?? {}).filter((each) => typeof each === "string" && each).join(", ").slice(0, 90);
    const row = make("details", { class: `row ${refused ? "refused" : ""}`, "data-path": mine.join("\n") },
      make("summary", {}, make("span", {}, make("b", {}, title), " ", make("span", { class: "plain" }, plain))), faults, this.inside(shape, value, mine), out);
    if (refused || count < 3) row.open = true;
    return row;
  }

  isSimple(shape) { return SIMPLE.has(shape.is) || shape.is === "fixed" || this.plainList(shape); }

  adder(shape, entries, path, named) {
    const id = this.id();
    // A list is kept whole: what was refused of it stands under all of it.
    const edit = named ? null : this.editAt(path), refused = edit?.state === "refused" ? this.faults(edit) : null;
    if (!named) return make("div", {}, refused, make("p", { class: "adding" }, make("button", { type: "button", onclick: () => this.add(path, entries.length, this.blank(shape), entries) }, `Add to ${spoken(path.at(-1))}`)));
    const input = make("input", { id, type: "text", autocomplete: "off" });
    input.addEventListener("input", () => { if (input.value) input.dataset.dirty = "yes"; else delete input.dataset.dirty; });
    const go = () => { const name = input.value.trim(); if (name) { delete input.dataset.dirty; this.keeper.edit([{ path: [...path, name], value: this.blank(shape) }]); } };
    input.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); go(); } });
    return make("p", { class: "adding" }, make("label", { for: id }, `Another name among ${spoken(path.at(-1))}`), input, make("button", { type: "button", onclick: go }, "Add"));
  }

  add(path, place, value, entries) {
    const list = entries.map(([, each]) => each);
    this.keeper.edit([{ path, value: [...list, value] }]);
  }

  blank(shape) {
    if (shape.is === "record") return {};
    if (shape.is === "named") return {};
    if (shape.is === "list" || shape.is === "fixed") return [];
    return "";
  }

  remove(path, key, named) {
    const mine = [...path, key], edit = this.editAt(mine);
    if (edit?.state === "refused" && same(edit.changes[0].path, mine) && at(this.keeper.held.document ?? {}, mine) === undefined) { this.keeper.drop(edit.id); return; }
    if (named) this.keeper.edit([{ path: mine, value: null }]);
    else this.keeper.edit([{ path, value: listed(at(this.keeper.document, path)).filter((_, place) => place !== key) }]);
  }

  record(shape, value, path, elsewhere = []) {
    const fields = this.shapes[shape.of].fields.filter((field) => !elsewhere.includes(field.key));
    // A record may be written as its first field alone: it is shown as what that stands for.
    if (typeof value !== "object" || Array.isArray(value)) { this.short.set(path.join("\n"), fields[0].key); value = { [fields[0].key]: value }; }
    const shown = fields.filter((field) => field.needed || (value[field.key] !== undefined && !same(value[field.key], []) && !same(value[field.key], {})));
    const simple = shown.filter((field) => this.isSimple(field.shape));
    const deep = shown.filter((field) => !simple.includes(field));
    const rest = fields.filter((field) => !shown.includes(field));
    return make("div", {},
      simple.length ? make("div", { class: "grid" }, simple.map((field) => this.field(field, value[field.key], [...path, field.key]))) : null,
      deep.map((field) => make("fieldset", {}, make("legend", {}, spoken(field.key)), this.inside(field.shape, value[field.key], [...path, field.key]),
        field.needed || this.shapes[field.shape.of] === undefined ? null : make("button", { type: "button", onclick: () => this.keeper.edit([{ path: [...path, field.key], value: null }]) }, `Take out ${spoken(field.key)}`))),
      rest.length ? this.more(rest, path) : null);
  }

  plainList(shape) { return shape.is === "list" && SIMPLE.has(shape.of.is); }

  more(fields, path) {
    const id = this.id();
    const select = make("select", { id }, make("option", { value: "" }, "…"), fields.map((field) => make("option", { value: field.key }, `${spoken(field.key)}${field.about ? `: ${field.about.slice(0, 70)}` : ""}`)));
    const place = make("div", {});
    let byFinger = false;
    select.addEventListener("pointerdown", () => { byFinger = true; });
    select.addEventListener("keydown", () => { byFinger = false; });
    select.addEventListener("change", () => {
      const field = fields.find((each) => each.key === select.value);
      if (!field) return;
      const value = field.shape.is === "record" ? {} : undefined;
      const mine = [...path, field.key];
      place.replaceChildren(field.shape.is === "record" || field.shape.is === "named" || (field.shape.is === "list" && !this.plainList(field.shape))
        ? make("fieldset", {}, make("legend", {}, spoken(field.key)), this.inside(field.shape, value, mine)) : this.field(field, undefined, mine));
      if (byFinger) place.querySelector("input, select, textarea")?.focus();
    });
    return make("details", { "data-path": [...path, "more"].join("\n") }, make("summary", {}, "Write more"), make("p", { class: "adding" }, make("label", { for: id }, "What"), select), place);
  }

  /** One thing that can be typed or chosen. */
  field(field, value, path, words = spoken(field.key)) {
    const id = this.id(), edit = this.editAt(path), shape = field.shape;
    const box = make("div", { class: `field ${edit ? (edit.state === "refused" ? "refused" : "unsaved") : ""}` });
    box.append(make("label", { for: id }, words));
    const about = make("span", { class: "fieldabout", id: `${id}a` }, field.about, field.example ? ` For instance ${field.example}.` : "");
    const given = { id, "data-path": path.join("\n"), "aria-describedby": `${id}a` };
    if (shape.is === "choice") {
      const select = make("select", given, field.needed && value !== undefined ? null : make("option", { value: "" }, "…"), shape.of.map((each) => make("option", { value: each, selected: each === value }, String(each))));
      this.chosen(select, () => this.change(path, select.value === "" ? null : shape.of.find((each) => String(each) === select.value)));
      box.append(select);
    } else if (shape.is === "yes") {
      const tick = make("input", { ...given, type: "checkbox", checked: value === true });
      tick.addEventListener("change", () => this.change(path, tick.checked));
      box.append(tick);
    } else if (shape.is === "fixed") {
      const cells = make("span", { class: "several" });
      const inputs = shape.of.map((each, place) => this.input({ ...given, id: place ? `${id}-${place}` : id, "data-cell": place, "aria-label": `${spoken(field.key)} ${place + 1}` }, each, value?.[place], async (now) => {
        const read = await Promise.all(inputs.map((input, which) => this.value(input.value, shape.of[which], now)));
        if (read.every((one) => one !== null)) this.change(path, read);
        else if (read.every((one) => one === null)) this.change(path, null);
      }));
      cells.append(...inputs);
      box.append(cells);
      this.echoes(box, inputs, shape.of);
    } else if (this.plainList(shape)) {
      const input = this.input(given, { is: "text" }, listed(value).join("; "), async (now) => {
        const parts = input.value.split(";").map((each) => each.trim()).filter(Boolean);
        this.change(path, parts.length ? await Promise.all(parts.map((each) => this.value(each, shape.of, now))) : null);
      });
      about.append(" Several are parted by a semicolon.");
      box.append(input);
      this.echoes(box, [input], [shape.of], true);
    } else if (shape.is === "any") {
      const area = make("textarea", { ...given, rows: 3 }, value === undefined ? "" : JSON.stringify(value));
      area.addEventListener("input", () => { area.dataset.dirty = "yes"; });
      area.addEventListener("change", () => { let read = area.value; try { read = JSON.parse(area.value); } catch { /* as words */ } delete area.dataset.dirty; this.change(path, area.value.trim() === "" ? null : read); });
      box.append(area);
    } else {
      const long = shape.is === "text" && String(value ?? "").length > 60;
      const wanted = this.root.closest("[data-shop]") && field.example ? { placeholder: `for instance ${field.example}` } : {};
      const input = this.input({ ...given, ...wanted }, shape, value, async (now) => this.change(path, await this.value(input.value, shape, now)), long);
      box.append(input);
      this.echoes(box, [input], [shape]);
    }
    box.append(about);
    if (isAssumed(this.keeper.document, path)) box.append(make("strong", { class: "explained" }, "Assumed: the example's, invented."));
    if (edit?.state === "refused") box.append(this.faults(edit));
    else if (box.querySelector("[data-dirty]")) box.append(this.leftOver(box));
    return box;
  }

  /** What is typed is laid down with every key, and taken up again where the page went before it was given. */
  input(given, shape, value, commit, long = false) {
    const kind = shape.is === "day" ? "date" : "text", slot = `${this.keeper.typedSlot}${given["data-path"]}#${given["data-cell"] ?? 0}`;
    const typed = lying(slot), shown = typed === null ? value ?? "" : JSON.parse(typed).text;
    const input = long ? make("textarea", { ...given, rows: 4, dir: "auto" }, shown) : make("input", { ...given, type: kind, dir: shape.is === "text" ? "auto" : undefined, autocomplete: "off", inputmode: shape.is === "whole" ? "numeric" : shape.is === "number" || shape.is === "amount" ? "decimal" : undefined, value: shown });
    const put = (dirty) => { if (dirty) input.dataset.dirty = "yes"; else delete input.dataset.dirty; };
    const give = async (now = false) => {
      put(false);
      input.dataset.giving = "yes";
      await commit(now);
      delete input.dataset.giving;
      lift(slot);
      this.keeper.typing();
    };
    put(typed !== null);
    input.addEventListener("input", () => { put(true); lay(slot, JSON.stringify({ slot, text: input.value, path: given["data-path"].split("\n") })); this.keeper.typing(); });
    input.addEventListener("change", () => give());
    input.addEventListener("blur", () => input.dataset.dirty && give());
    input.addEventListener("give", () => give(true));
    input.addEventListener("leave", () => { put(false); lift(slot); this.keeper.typing(); });
    input.addEventListener("keydown", (event) => { if (event.key === "Escape") { input.value = value ?? ""; input.dispatchEvent(new Event("leave")); input.blur(); } });
    return input;
  }

  /** By finger a choice is made at once; by keys one passes others on the way to it, and none of those is meant. */
  chosen(select, give) {
    let byKeys = false, later = 0;
    const done = () => { clearTimeout(later); if (!select.dataset.giving) return; delete select.dataset.giving; delete select.dataset.dirty; give(); };
    select.addEventListener("keydown", () => { byKeys = true; });
    select.addEventListener("pointerdown", () => { byKeys = false; });
    select.addEventListener("change", () => { select.dataset.giving = select.dataset.dirty = "yes"; clearTimeout(later); if (byKeys) later = setTimeout(done, 900); else done(); });
    select.addEventListener("blur", done);
    select.addEventListener("give", done);
  }

  leftOver(box) {
    const each = (kind) => () => { for (const input of box.querySelectorAll("[data-dirty]")) input.dispatchEvent(new Event(kind)); this.drawn = null; this.draw(); };
    return make("div", { class: "wayto" }, make("p", { class: "infault" }, "Not saved: typed here before, and never left."),
      make("button", { type: "button", onclick: each("give") }, "Save it"), make("button", { type: "button", onclick: each("leave") }, "Leave it as it was"));
  }

  echoes(box, inputs, shapes, several = false) {
    inputs.forEach((input, place) => {
      if (shapes[place].is !== "measure") return;
      const output = make("output", { class: "echo", for: input.id });
      box.append(output);
      listen(input, output, shapes[place].kind, several);
    });
  }

  async value(text, shape, now = false) {
    const typed = text.trim();
    if (typed === "") return null;
    if (shape.is === "measure") return written(typed, shape.kind, now);
    if (shape.is === "amount") return typed.replace(",", ".");
    if (shape.is === "number" || shape.is === "whole") { const number = Number(typed.replace(",", ".")); return Number.isNaN(number) ? typed : number; }
    return typed;
  }

  change(path, value) {
    for (let long = 1; long < path.length; long++) {
      const first = this.short.get(path.slice(0, long).join("\n")), now = at(this.keeper.document, path.slice(0, long));
      if (first === undefined || now === undefined || (typeof now === "object" && !Array.isArray(now))) continue;
      const made = { [first]: now, [path[long]]: value };
      if (value === null) delete made[path[long]];
      this.change(path.slice(0, long), made);
      return;
    }
    const now = at(this.keeper.document, path);
    if (same(now ?? null, value)) return;
    // A list has no names for what is in it: it is kept whole.
    const list = path.findIndex((key) => typeof key === "number");
    if (list < 0) { this.keeper.edit([{ path, value }]); return; }
    const whole = path.slice(0, list), made = structuredClone(at(this.keeper.document, whole));
    let here = made;
    for (const key of path.slice(list, -1)) here = here[key] ??= {};
    if (value === null) delete here[path.at(-1)]; else here[path.at(-1)] = value;
    this.keeper.edit([{ path: whole, value: made }]);
  }

  editAt(path) {
    return this.keeper.edits.findLast((edit) => edit.changes.some((change) => change.path.length === path.length && change.path.every((key, place) => key === path[place])));
  }

  faults(edit) {
    return make("div", { role: "alert" }, faultWords(edit.faults).map((words) => make("p", { class: "infault" }, `Not saved. ${words}`)),
      make("button", { type: "button", onclick: () => this.keeper.drop(edit.id) }, "Leave it as it was"));
  }
}
