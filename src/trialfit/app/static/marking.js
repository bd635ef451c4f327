// Photographs marked by finger; while a mark is dragged, points, ellipses, pipe and chance follow.
import { ask, Away, faultWords } from "./ask.js";
import { written } from "./echo.js";
import { at } from "./keeper.js";
import { Known } from "./known.js";
import { find, make } from "./make.js";
import * as paintings from "./overlay.js";
import { keeper } from "./page.js";
import { Pane } from "./pane.js";
import { Removing } from "./removing.js";
import { Uploads } from "./uploads.js";

class Marking {
  constructor() {
    Object.assign(this, { sizes: {}, scene: null, trial: null, things: [], chosen: null, busy: false, next: null, showing: true, turn: 0 });
    this.job = find("#marking").dataset.job;
    this.told = JSON.parse(find("#marking").dataset.photographs);
    for (const [name, entry] of Object.entries(this.told)) if (entry.size) this.sizes[name] = entry.size;
    this.panes = [new Pane(this, 0), new Pane(this, 1)];
    find("#panes").append(...this.panes.map((pane) => pane.element));
    this.twoSides(innerWidth > 620 || innerHeight > innerWidth);
    find("#two").addEventListener("click", () => this.twoSides(find("#two").getAttribute("aria-pressed") !== "true"));
    find("#drawn").addEventListener("click", (event) => { this.showing = !this.showing; event.currentTarget.setAttribute("aria-pressed", this.showing); this.draw(["photo", "over"]); });
    find("#take-away").addEventListener("click", () => this.takeAway());
    find("#what-kind").addEventListener("change", () => { this.chosen = null; this.listThings(); this.after(); });
    find("#what-name").addEventListener("change", () => this.chooseByName());
    this.newThings();
    this.known = new Known(this);
    this.removing = new Removing(this);
    this.uploads = new Uploads(this.job, find("#uploads"), (file) => this.uploaded(file));
    find("#upload").addEventListener("change", (event) => { this.uploads.take([...event.target.files]); event.target.value = ""; });
    keeper.addEventListener("held", () => this.held());
    keeper.addEventListener("edits", () => { this.listThings(); this.draw(); });
    addEventListener("pagehide", () => this.settle());
    if (keeper.held) this.held(); else if (Object.keys(this.told).length) this.pictures();
  }

  /** Whether there is a document to mark in: not yet while it is on its way, nor while it has faults. */
  get ready() { return Boolean(keeper.held?.document); }

  /** The page tells which photographs there are, so that they are shown, moved and zoomed before the document is there. */
  get photographs() { return this.ready ? keeper.document.photographs ?? {} : this.told; }

  address(name, side) { return `/api/jobs/${encodeURIComponent(this.job)}/photographs/${encodeURIComponent(this.photographs[name].file)}?side=${side}`; }

  twoSides(two) {
    find("#two").setAttribute("aria-pressed", two);
    this.panes[1].element.hidden = !two;
    find("#panes").classList.toggle("one", !two);
  }

  pictures() {
    const names = Object.entries(this.photographs).map(([name, entry]) => ({ name, words: entry.note ? `${name}: ${entry.note}` : name }));
    this.panes.forEach((pane, place) => {
      pane.list(names);
      if (pane.name && !names.some((each) => each.name === pane.name)) pane.clear();
      if (!pane.name && names.length) pane.show(names[Math.min(place, names.length - 1)].name);
      else if (!names.length) pane.draw();
    });
  }

  held() {
    this.pictures();
    this.removing.follow();
    this.listThings();
    this.draw();
    performance.mark("marks there");
    // The pictures first: what is worked out for them may take a moment longer.
    Promise.all(this.panes.map((pane) => pane.showing)).then(() => this.fetchScene());
  }

  async fetchScene() {
    const mine = ++this.turn;
    try {
      const { status, said } = await ask(`/jobs/${encodeURIComponent(this.job)}/scene`);
      if (mine !== this.turn) return;
      if (status !== 200) { this.scene = null; this.say(faultWords(said?.faults)); this.draw(["photo", "over"]); return; }
      this.scene = said;
      this.trial = null;
      Object.assign(this.sizes, said.sizes);
      for (const pane of this.panes) pane.resized();
      this.say(faultWords(said.refused));
      this.draw(["photo", "over"]);
      performance.mark("scene drawn");
      const things = await ask(`/jobs/${encodeURIComponent(this.job)}/scene/things`);
      if (mine === this.turn && things.status === 200) { this.things = things.said.things; this.draw(["photo"]); }
    } catch (error) { if (!(error instanceof Away)) throw error; }
  }

  get empty() { return keeper.held && !keeper.held.document ? "The job's text has faults: mend it first." : "No photograph yet: add one above."; }

  shown() { this.draw(); }
  draw(layers = ["over"]) { for (const pane of this.panes) if (!pane.element.hidden) pane.draw(layers); }

  /** Everything that has to be drawn anew is drawn in one frame. */
  frame() {
    if (this.framed) return;
    this.framed = true;
    requestAnimationFrame(() => {
      this.framed = false;
      for (const pane of this.panes) if (!pane.element.hidden) pane.paint();
      if (this.paintedFor) this.painted();
    });
  }

  get seen() { return this.trial ?? this.scene; }
  station(name) { return this.seen?.survey?.stations.find((each) => each.photograph === name); }

  /** Marks of one photograph: of points, of edges, of rims. */
  marksOn(name) {
    const tree = keeper.document, marks = [];
    if (!this.ready) return marks;
    for (const [point, mark] of Object.entries(tree.marks?.[name] ?? {})) marks.push({ kind: "point", photograph: name, name: point, px: mark.px ?? mark, pm: mark.pm });
    for (const [tube, lengths] of Object.entries(tree.edges?.[name] ?? {})) for (const [length, clicks] of Object.entries(lengths)) clicks.forEach((px, place) => marks.push({ kind: "edge", photograph: name, name: `${tube}.${length}`, place, px }));
    for (const [rim, clicks] of Object.entries(tree.rim_marks?.[name] ?? {})) clicks.forEach((px, place) => marks.push({ kind: "rim", photograph: name, name: rim, place, px }));
    if (this.held_) for (const mark of marks) if (this.isSame(mark, this.held_)) mark.px = this.held_.px;
    return marks;
  }

  isKnown(name) { return Boolean(keeper.document.points?.[name]?.at); }
  isSame(a, b) { return a && b && a.kind === b.kind && a.photograph === b.photograph && a.name === b.name && a.place === b.place; }

  listThings() {
    const kind = find("#what-kind").value, select = find("#what-name"), tree = keeper.document, kept = select.value;
    const count = (name) => Object.values(tree.marks ?? {}).filter((marks) => marks[name]).length;
    let names = [];
    if (kind === "point") {
      const every = new Set([...Object.keys(tree.points ?? {}), ...Object.values(tree.marks ?? {}).flatMap((marks) => Object.keys(marks))]);
      names = [...every].map((name) => ({ name, words: `${name} (marked in ${count(name)}${tree.points?.[name]?.at ? ", known" : ""})` }));
    } else if (kind === "edge") {
      for (const [tube, entry] of Object.entries(tree.tubes ?? {})) for (let leg = 1; leg <= (entry.bends ?? 0) + 1; leg++) {
        names.push({ name: `${tube}.leg${leg}`, words: `${tube}, straight ${leg}` });
        if (leg <= (entry.bends ?? 0)) names.push({ name: `${tube}.bend${leg}`, words: `${tube}, bend ${leg}` });
      }
    } else names = Object.keys(tree.rims ?? {}).map((name) => ({ name, words: name }));
    const now = JSON.stringify(names);
    if (now === this.listed) return;
    this.listed = now;
    select.replaceChildren(make("option", { value: "" }, names.length ? "choose…" : "none yet"), ...names.map((each) => make("option", { value: each.name }, each.words)));
    select.value = names.some((each) => each.name === kept) ? kept : this.chosen?.name ?? "";
  }

  chooseByName() {
    this.settle();
    const name = find("#what-name").value, kind = find("#what-kind").value;
    this.chosen = name ? { kind, name, photograph: "", px: null } : null;
    for (const pane of this.panes) {
      const mark = kind === "point" && this.marksOn(pane.name).find((each) => each.kind === "point" && each.name === name);
      if (mark) { this.chosen = mark; pane.lookAt(mark.px); }
    }
    this.after();
  }

  choose(mark) {
    this.settle();
    this.chosen = mark;
    find("#what-kind").value = mark.kind;
    this.listThings();
    find("#what-name").value = mark.name;
    this.after();
  }

  after() { find("#take-away").disabled = !this.chosen?.px; this.known.follow(); this.tellLive(); this.draw(); }

  step(way, pane) {
    const marks = this.marksOn(pane.name), now = marks.findIndex((each) => this.isSame(each, this.chosen));
    if (!marks.length) return;
    const mark = marks[(now + way + marks.length) % marks.length];
    this.choose(mark);
    pane.lookAt(mark.px);
  }

  nudge(way, pane) {
    if (!this.chosen?.px || this.chosen.photograph !== pane.name) return;
    const by = pane.scale > 2 ? 0.5 : 1, px = pane.inside([this.chosen.px[0] + by * way[0], this.chosen.px[1] + by * way[1]]);
    this.dragging(this.chosen, px, pane);
    clearTimeout(this.nudged);
    this.nudged = setTimeout(() => this.settle(), 600);
  }

  /** What was shifted by keys is kept before anything else is done. */
  settle() {
    if (!this.nudged) return;
    clearTimeout(this.nudged);
    this.nudged = 0;
    if (this.held_) this.dropped(this.held_, true);
  }

  /** What a mark becomes in the document. */
  change(mark, px) {
    if (mark.kind === "point") return { path: ["marks", mark.photograph, mark.name], value: mark.pm ? { px, pm: mark.pm } : { px } };
    const path = mark.kind === "rim" ? ["rim_marks", mark.photograph, mark.name] : ["edges", mark.photograph, ...this.ofTube(mark.name)];
    const clicks = structuredClone(at(keeper.document, path) ?? []);
    if (px === null) clicks.splice(mark.place, 1); else clicks[mark.place] = px;
    return { path, value: clicks.length ? clicks : null };
  }

  ofTube(name) { const dot = name.lastIndexOf("."); return [name.slice(0, dot), name.slice(dot + 1)]; }

  dragging(mark, px, pane, began = performance.now()) {
    this.held_ = { ...mark, px };
    if (this.isSame(this.chosen, mark)) this.chosen = { ...this.chosen, px };
    this.tryMark(mark, px, began);
    // What follows in the other photograph comes with the answer.
    if (pane) pane.draw(["over"]); else this.draw();
    return px;
  }

  tryMark(mark, px, began) {
    if (this.tried?.[0] === px[0] && this.tried[1] === px[1]) return;
    this.tried = px;
    this.try_([this.change(mark, px)], began);
  }

  dropped(mark, keep) {
    const last = this.held_;
    this.held_ = this.tried = this.next = null;
    if (keep && last) keeper.edit([this.change(mark, last.px), ...this.settings()], `mark of ${mark.name}`);
    else { this.trial = null; this.draw(); }
  }

  placed(photograph, px) {
    if (!this.ready) { if (keeper.held) this.say([this.empty]); return; }
    const name = find("#what-name").value, kind = find("#what-kind").value;
    if (!name) { this.say(["Choose above what is to be placed, or add it by New."]); return; }
    if (kind === "point" && at(keeper.document, ["marks", photograph, name])) { this.say([`${name} is marked in this photograph already: drag it.`]); return; }
    const place = kind === "point" ? undefined : (at(keeper.document, kind === "rim" ? ["rim_marks", photograph, name] : ["edges", photograph, ...this.ofTube(name)]) ?? []).length;
    const mark = { kind, photograph, name, place, px };
    keeper.edit([this.change(mark, px), ...this.settings()], `mark of ${name}`);
    this.choose(mark);
  }

  settings() { return keeper.document.survey ? [] : [{ path: ["survey"], value: { mark_pm: "3 px" } }]; }

  takeAway() {
    if (!this.chosen?.px) return;
    this.settle();
    const mark = this.chosen;
    this.chosen = null;
    keeper.edit([mark.kind === "point" ? { path: ["marks", mark.photograph, mark.name], value: null } : this.change(mark, null)]);
    this.after();
  }

  /** The newest place is tried; while one is on its way, only the newest waits. */
  async try_(changes, began) {
    this.next = { changes, began };
    if (this.busy) return;
    this.busy = true;
    while (this.next) {
      const now = this.next;
      this.next = null;
      try {
        const { status, said } = await ask(`/api/jobs/${encodeURIComponent(this.job)}/trial`, { method: "POST", body: { base: keeper.revision, changes: now.changes } });
        if (status === 200 && this.held_) {
          this.trial = said;
          this.paintedFor = now.began;
          this.tellLive();
          this.draw();
        }
      } catch (error) { if (!(error instanceof Away)) throw error; break; }
    }
    this.busy = false;
  }

  /** From the finger's move to the end of the frame in which all that follows was drawn: a message comes after it. */
  painted() {
    const start = this.paintedFor, { port1, port2 } = new MessageChannel();
    this.paintedFor = 0;
    port1.onmessage = () => performance.measure("mark followed", { start, end: performance.now() });
    port2.postMessage(0);
  }

  say(words) { this.words = words.filter(Boolean); this.tellLive(); }

  tellLive() {
    const seen = this.seen, lines = [];
    for (const [name, pipe] of Object.entries(seen?.pipes ?? {})) {
      const cut = pipe.cut_length, chance = seen.chances[name];
      lines.push(make("p", {}, make("b", {}, `Pipe ${name}: `), `saw ${cut.value.toFixed(2)}${cut.k2 === null ? "" : ` ± ${cut.k2.toFixed(2)}`} mm`, chance ? make("span", {}, `, drops on as planned ${chance.value.toFixed(0)} ± ${chance.k2.toFixed(0)} %`) : null));
    }
    const name = this.chosen?.kind === "point" ? this.chosen.name : "";
    const point = seen?.survey?.points.find((each) => each.name === name), left = seen?.survey?.left_out.find((each) => each.name === name);
    if (point) lines.push(make("p", {}, make("b", {}, `${name}: `), point.position_mm.map((each, axis) => `${"xyz"[axis]} ${each.toFixed(2)} ± ${point.k2_mm[axis].toFixed(2)}`).join(", "), ` mm, k = 2${this.isKnown(name) ? "; measured" : ""}`));
    if (left) lines.push(make("p", {}, make("b", {}, `${name}: `), `${left.because} ${left.do}`));
    for (const each of (seen?.survey?.suspects ?? []).filter((one) => !name || one.point === name)) lines.push(make("p", { class: "infault" }, `Suspect: ${each.what}. ${each.because} ${each.do}`));
    for (const each of this.words ?? []) lines.push(make("p", { class: "infault" }, each));
    if (!lines.length) lines.push(make("p", {}, this.scene ? "Nothing follows from the photographs yet." : "Being worked out…"));
    find("#live").replaceChildren(...lines);
  }

  paintParts(pen, pane) { paintings.paintParts(pen, pane, this); }
  paintOver(pen, pane) { paintings.paintOver(pen, pane, this); }

  newThings() {
    const dialog = find("#new-dialog"), kind = () => find("#what-kind").value;
    find("#new-thing").addEventListener("click", () => {
      find("#new-title").textContent = { point: "A new point", edge: "A new tube", rim: "A new rim" }[kind()];
      find("#new-od-line").hidden = kind() === "point";
      find("#new-key").value = find("#new-what").value = find("#new-od").value = "";
      dialog.showModal();
    });
    find("#new-cancel").addEventListener("click", () => dialog.close());
    find("#new-form").addEventListener("submit", async (event) => {
      event.preventDefault();
      const name = find("#new-key").value.trim(), what = find("#new-what").value.trim();
      if (!name) { find("#new-key").focus(); return; }
      const across = find("#new-od").value.trim() ? { value: await written(find("#new-od").value, "length"), pm: "0.1 mm", by: "workshop" } : null;
      const value = { point: { what }, edge: { what, od: across ?? {} }, rim: { what, centre: `${name}.face`, ...(across ? { diameter: across } : {}) } }[kind()];
      keeper.edit([{ path: [{ point: "points", edge: "tubes", rim: "rims" }[kind()], name], value }]);
      dialog.close();
      this.listThings();
      find("#what-name").value = kind() === "edge" ? `${name}.leg1` : name;
      this.chooseByName();
    });
  }

  uploaded(file) {
    const tree = keeper.document, changes = [];
    if (Object.values(tree.photographs ?? {}).some((entry) => entry.file === file)) return;
    const stem = file.replace(/\.[^.]*$/, "").replace(/[^\p{L}\p{N}_-]+/gu, "_") || "photograph";
    let name = stem;
    for (let n = 2; tree.photographs?.[name]; n++) name = `${stem}_${n}`;
    const phone = Object.keys(tree.phones ?? {})[0] ?? "owner";
    if (!tree.phones?.[phone]) changes.push({ path: ["phones", phone], value: { note: "the owner's" } });
    changes.push({ path: ["photographs", name], value: { file, phone } });
    keeper.edit(changes);
  }
}

window.marking = new Marking();
