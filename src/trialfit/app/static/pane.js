// One photograph on the page: moved and zoomed by wheel, fingers and keys, with marks that are dragged under a loupe.
//
// Two canvases lie over each other: the photograph with the parts that stand on it, and all that follows a mark. While
// one is dragged the photograph is never drawn again.
import { find, make } from "./make.js";

const NEAR_PX = 30, LOUPE_PX = 84, LOUPE_TIMES = 3;
const ALL = ["photo", "over"];

export class Pane {
  constructor(page, place) {
    Object.assign(this, { page, place, name: "", image: null, full: null, size: [1, 1], scale: 1, at: [0, 0], fingers: new Map(), drag: null, cursor: null, stale: new Set(), wide: 0, tall: 0 });
    this.select = make("select", { "aria-label": `Photograph ${place + 1}` });
    this.canvas = make("canvas", { tabindex: 0, role: "application", "aria-label": `Photograph ${place + 1}. Arrow keys move, plus and minus zoom, N takes the next mark, Shift and arrows shift it, Enter marks at the middle, Delete takes the mark away.` });
    this.sheets = { over: this.canvas, photo: make("canvas", { "aria-hidden": "true" }) };
    this.pens = { photo: this.sheets.photo.getContext("2d", { alpha: false }), over: this.canvas.getContext("2d") };
    this.element = make("section", { class: "pane" },
      make("div", { class: "panehead" }, this.select,
        make("button", { type: "button", "aria-label": "Nearer", onclick: () => this.zoom(1.5) }, "+"),
        make("button", { type: "button", "aria-label": "Farther", onclick: () => this.zoom(1 / 1.5) }, "−"),
        make("button", { type: "button", onclick: () => this.whole() }, "Whole")),
      make("div", { class: "glass" }, this.canvas, this.sheets.photo));
    this.select.addEventListener("change", () => this.show(this.select.value));
    const on = (kind, act, options) => this.canvas.addEventListener(kind, act.bind(this), options);
    on("pointerdown", this.down); on("pointermove", this.move); on("pointerrawupdate", this.ahead); on("pointerup", this.up); on("pointercancel", this.up);
    on("wheel", this.wheel, { passive: false }); on("keydown", this.key); on("contextmenu", (event) => event.preventDefault());
    on("focus", () => { this.byKeys = this.canvas.matches(":focus-visible"); this.draw(["over"]); }); on("blur", () => this.draw(["over"]));
    new ResizeObserver(() => this.fit()).observe(this.canvas);
  }

  list(names) {
    this.select.replaceChildren(...names.map((each) => make("option", { value: each.name, selected: each.name === this.name }, each.words)));
  }

  show(name) {
    if (name && name !== this.name) this.showing = this.fetch(name);
    return this.showing;
  }

  async fetch(name) {
    this.name = name;
    this.select.value = name;
    this.image = this.full = null;
    const image = new Image();
    image.src = this.page.address(name, "1600");
    try { await image.decode(); } catch { this.failed = true; this.draw(); return; }
    if (this.name !== name) return;
    this.failed = false;
    this.image = image;
    // Until the original's size is told, the copy's own will do: it is the same picture.
    this.size = this.page.sizes[name] ?? [image.naturalWidth, image.naturalHeight];
    this.whole();
    performance.mark(`shown ${name}`);
    this.page.shown(this);
  }

  /** Its photograph was taken out of the job. */
  clear() {
    this.name = "";
    this.image = this.full = this.sharp = null;
    this.draw();
  }

  resized() {
    const size = this.page.sizes[this.name];
    if (!size || !this.image || size[0] === this.size[0]) return;
    const by = this.size[0] / size[0];
    this.size = size;
    this.scale *= by;
    this.draw();
  }

  fit() {
    const box = this.canvas.getBoundingClientRect(), dots = devicePixelRatio || 1;
    this.wide = box.width; this.tall = box.height;
    for (const sheet of Object.values(this.sheets)) { sheet.width = Math.round(box.width * dots); sheet.height = Math.round(box.height * dots); }
    if (this.image && !this.touched && !this.fingers.size) this.whole(); else this.draw();
  }

  whole() {
    this.scale = Math.min(this.wide / this.size[0], this.tall / this.size[1]) || 1;
    this.at = [(this.wide - this.scale * this.size[0]) / 2, (this.tall - this.scale * this.size[1]) / 2];
    this.touched = false;
    this.draw();
  }

  toScreen([x, y]) { return [this.at[0] + this.scale * (x + 0.5), this.at[1] + this.scale * (y + 0.5)]; }
  toPicture([x, y]) { return [(x - this.at[0]) / this.scale - 0.5, (y - this.at[1]) / this.scale - 0.5]; }

  zoom(by, about = [this.wide / 2, this.tall / 2]) {
    const least = Math.min(this.wide / this.size[0], this.tall / this.size[1]) * 0.5;
    const scale = Math.max(least, Math.min(12, this.scale * by)), real = scale / this.scale;
    this.at = [about[0] - real * (about[0] - this.at[0]), about[1] - real * (about[1] - this.at[1])];
    this.scale = scale;
    this.touched = true;
    this.sharpen();
    this.draw();
  }

  /** Once it is looked at closely the whole picture is fetched. */
  sharpen() {
    if (this.full || !this.image || this.scale * this.size[0] < 1.4 * this.image.naturalWidth) return;
    const name = this.name, image = (this.full = new Image());
    image.src = this.page.address(name, "full");
    image.decode().then(() => { if (this.name === name) { this.sharp = image; this.draw(["photo"]); } }, () => { this.full = null; });
  }

  local(event) { const box = this.canvas.getBoundingClientRect(); return [event.clientX - box.left, event.clientY - box.top]; }

  nearest(at) {
    let best = null;
    for (const mark of this.page.marksOn(this.name)) {
      const on = this.toScreen(mark.px), far = Math.hypot(on[0] - at[0], on[1] - at[1]);
      if (far < NEAR_PX && (!best || far < best.far)) best = { mark, far };
    }
    return best?.mark ?? null;
  }

  down(event) {
    event.preventDefault();
    this.canvas.focus({ preventScroll: true });
    this.byKeys = false;
    this.canvas.setPointerCapture(event.pointerId);
    const at = this.local(event);
    this.fingers.set(event.pointerId, at);
    if (this.fingers.size === 2) { this.letGo(false); this.pinch = this.spread(); return; }
    if (this.fingers.size > 2) return;
    const mark = this.nearest(at);
    this.drag = { at, from: at, mark, begins: mark ? [...mark.px] : null, moved: false };
    if (mark) this.page.choose(mark, this);
  }

  spread() {
    const [a, b] = [...this.fingers.values()];
    return { far: Math.hypot(a[0] - b[0], a[1] - b[1]), middle: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2] };
  }

  move(event) {
    if (!this.fingers.has(event.pointerId)) return;
    const at = this.local(event);
    this.fingers.set(event.pointerId, at);
    if (this.fingers.size === 2 && this.pinch) {
      const now = this.spread();
      this.at = [this.at[0] + now.middle[0] - this.pinch.middle[0], this.at[1] + now.middle[1] - this.pinch.middle[1]];
      this.zoom(now.far / Math.max(this.pinch.far, 1), now.middle);
      this.pinch = now;
      return;
    }
    const drag = this.drag;
    if (!drag) return;
    if (!drag.moved && Math.hypot(at[0] - drag.from[0], at[1] - drag.from[1]) < 4) return;
    drag.moved = true;
    if (drag.mark) {
      this.cursor = this.page.dragging(drag.mark, this.dragged(at), this, event.timeStamp);
    } else {
      this.at = [this.at[0] + at[0] - drag.at[0], this.at[1] + at[1] - drag.at[1]];
      this.touched = true;
      this.draw();
    }
    drag.at = at;
  }

  /** The mark keeps its distance from the finger, so that the finger does not hide it. */
  dragged(at) {
    const { begins, from } = this.drag;
    return this.inside([begins[0] + (at[0] - from[0]) / this.scale, begins[1] + (at[1] - from[1]) / this.scale]);
  }

  /** Where the browser tells of a move before it is time to draw, what follows from it is asked for at once. */
  ahead(event) {
    if (this.drag?.mark && this.drag.moved && this.fingers.size === 1) this.page.tryMark(this.drag.mark, this.dragged(this.local(event)), event.timeStamp);
  }

  inside([x, y]) {
    return [Math.max(0, Math.min(this.size[0] - 1, x)), Math.max(0, Math.min(this.size[1] - 1, y))].map((each) => Math.round(each * 10) / 10);
  }

  up(event) {
    this.fingers.delete(event.pointerId);
    if (this.fingers.size < 2) this.pinch = null;
    if (this.fingers.size) return;
    this.letGo(event.type === "pointerup");
  }

  letGo(keep) {
    const drag = this.drag;
    this.drag = this.cursor = null;
    if (!drag) return;
    if (drag.mark && drag.moved) this.page.dropped(drag.mark, keep);
    else if (!drag.mark && !drag.moved && keep) {
      const px = this.toPicture(drag.from);
      if (px[0] >= -0.5 && px[1] >= -0.5 && px[0] < this.size[0] - 0.5 && px[1] < this.size[1] - 0.5) this.page.placed(this.name, this.inside(px));
    }
    this.draw(["over"]);
  }

  wheel(event) { event.preventDefault(); this.zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0018)), this.local(event)); }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (!this.byKeys) { this.byKeys = true; this.draw(["over"]); }
    const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }, way = ways[event.key];
    if (way && event.shiftKey) this.page.nudge(way, this);
    else if (way) { this.at = [this.at[0] - 60 * way[0], this.at[1] - 60 * way[1]]; this.touched = true; this.draw(); }
    else if (event.key === "+" || event.key === "=") this.zoom(1.4);
    else if (event.key === "-") this.zoom(1 / 1.4);
    else if (event.key === "0") this.whole();
    else if (event.key === "n" || event.key === "p") this.page.step(event.key === "n" ? 1 : -1, this);
    else if (event.key === "Enter") this.page.placed(this.name, this.inside(this.toPicture([this.wide / 2, this.tall / 2])));
    else if (event.key === "Delete" || event.key === "Backspace") this.page.takeAway();
    else return;
    event.preventDefault();
  }

  lookAt(px) {
    const on = this.toScreen(px);
    if (on[0] > 60 && on[1] > 60 && on[0] < this.wide - 60 && on[1] < this.tall - 60) return;
    this.at = [this.at[0] + this.wide / 2 - on[0], this.at[1] + this.tall / 2 - on[1]];
    this.touched = true;
    this.draw();
  }

  draw(layers = ALL) {
    for (const each of layers) this.stale.add(each);
    this.page.frame();
  }

  paint() {
    const dots = devicePixelRatio || 1, stale = this.stale;
    this.stale = new Set();
    for (const each of stale) {
      const pen = this.pens[each];
      pen.setTransform(dots, 0, 0, dots, 0, 0);
      if (each !== "photo") pen.clearRect(0, 0, this.wide, this.tall);
      this[each](pen);
    }
  }

  photo(pen) {
    pen.fillStyle = "#20242a";
    pen.fillRect(0, 0, this.wide, this.tall);
    if (!this.image) { pen.fillStyle = "#fff"; pen.font = "18px sans-serif"; pen.fillText(this.failed ? "This photograph cannot be shown." : this.name ? "Fetching…" : this.page.empty, 20, 40); return; }
    pen.imageSmoothingEnabled = this.scale < 4;
    this.picture(pen, this.at, this.scale);
    this.page.paintParts(pen, this);
  }

  over(pen) {
    if (!this.image) return;
    this.page.paintOver(pen, this);
    if (this.byKeys && this.canvas.matches(":focus-visible")) this.cross(pen, [this.wide / 2, this.tall / 2], 14);
    if (this.cursor) this.loupe(pen);
  }

  picture(pen, at, scale) { pen.drawImage(this.sharp && this.full === this.sharp ? this.sharp : this.image, at[0], at[1], scale * this.size[0], scale * this.size[1]); }

  loupe(pen) {
    const on = this.toScreen(this.cursor), times = Math.max(this.scale * LOUPE_TIMES, 1.2);
    const middle = [on[0] < this.wide / 2 ? this.wide - LOUPE_PX - 12 : LOUPE_PX + 12, LOUPE_PX + 12];
    pen.save();
    pen.beginPath(); pen.arc(middle[0], middle[1], LOUPE_PX, 0, 7); pen.clip();
    pen.fillStyle = "#000"; pen.fillRect(middle[0] - LOUPE_PX, middle[1] - LOUPE_PX, 2 * LOUPE_PX, 2 * LOUPE_PX);
    this.picture(pen, [middle[0] - times * (this.cursor[0] + 0.5), middle[1] - times * (this.cursor[1] + 0.5)], times);
    pen.restore();
    pen.lineWidth = 4; pen.strokeStyle = "#fff"; pen.beginPath(); pen.arc(middle[0], middle[1], LOUPE_PX, 0, 7); pen.stroke();
    this.cross(pen, middle, LOUPE_PX * 0.7);
  }

  cross(pen, [x, y], long) {
    for (const [wide, colour] of [[4, "#000"], [1.6, "#ffe14d"]]) {
      pen.lineWidth = wide; pen.strokeStyle = colour; pen.beginPath();
      for (const [a, b] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) { pen.moveTo(x + 4 * a, y + 4 * b); pen.lineTo(x + long * a, y + long * b); }
      pen.stroke();
    }
  }
}
