// The job in space: points with how sure they are, parts, pipes old and new, what stands round them; turned by finger,
// seen as any photograph saw it, and put together step by step.
import * as three from "./vendor/three/three.module.js";
import { ask, faultWords } from "./ask.js";
import { keeper } from "./page.js";
import { all, find, make } from "./make.js";
import { centreLine, eye } from "./optics.js";

const COLOURS = { part: 0xc9a24a, engine: 0x6d7f86, pipe: 0xd0713b, "old pipe": 0x9aa0a6 };
const vector = (at) => new three.Vector3(...at);

class Polyline extends three.Curve {
  constructor(points) {
    super();
    this.points = points.map(vector);
    this.far = [0];
    for (let place = 1; place < points.length; place++) this.far.push(this.far[place - 1] + this.points[place].distanceTo(this.points[place - 1]));
  }
  getPoint(share, target = new three.Vector3()) {
    const at = share * this.far.at(-1);
    let place = this.far.findIndex((each) => each >= at);
    place = Math.max(1, place < 0 ? this.far.length - 1 : place);
    const long = this.far[place] - this.far[place - 1] || 1;
    return target.lerpVectors(this.points[place - 1], this.points[place], (at - this.far[place - 1]) / long);
  }
}

class Space {
  constructor() {
    this.job = find("#space").dataset.job;
    this.canvas = find("#three");
    Object.assign(this, { shows: { names: true, unsure: true, old: true, engine: true }, named: [], byName: new Map(), turn: [-1.1, 0.45], far: 400, target: new three.Vector3(), station: null, at: -1, fingers: new Map() });
    this.renderer = new three.WebGLRenderer({ canvas: this.canvas, antialias: true, alpha: true });
    this.world = new three.Scene();
    this.world.add(new three.HemisphereLight(0xffffff, 0x555566, 2.2));
    this.sun = new three.DirectionalLight(0xffffff, 1.8);
    this.world.add(this.sun);
    this.camera = new three.PerspectiveCamera(40, 1, 5, 6000);
    this.camera.up.set(0, 0, 1);
    this.picture = make("img", { class: "behind", alt: "" });
    this.picture.hidden = true;
    this.canvas.before(this.picture);
    new ResizeObserver(() => this.draw()).observe(this.canvas.parentElement);
    this.hands();
    for (const each of all("[data-show]")) each.addEventListener("click", () => {
      const on = (this.shows[each.dataset.show] = !this.shows[each.dataset.show]);
      each.setAttribute("aria-pressed", on);
      this.dress(); this.draw();
    });
    find("#whole").addEventListener("click", () => { this.take(""); this.whole(); });
    find("#nearer").addEventListener("click", () => this.near(0.8));
    find("#farther").addEventListener("click", () => this.near(1.25));
    find("#camera").addEventListener("change", (event) => this.take(event.target.value));
    addEventListener("lamp", () => this.draw());
    addEventListener("beforeprint", () => this.onPaper());
    keeper.addEventListener("held", () => this.fetch());
    if (keeper.held) this.fetch();
  }

  async fetch() {
    const { status, said } = await ask(`/jobs/${encodeURIComponent(this.job)}/space/things`).catch(() => ({ status: 0 }));
    const state = find("#space-state");
    if (status !== 200) { state.textContent = status ? faultWords(said?.faults).join(" ") : "The program does not answer."; return; }
    state.textContent = said.things.length + said.points.length + said.pipes.length ? "" : "Nothing stands in space yet: the job has no points and nothing in place.";
    this.said = said;
    this.build();
    const select = find("#camera"), kept = select.value;
    select.replaceChildren(make("option", { value: "" }, "anywhere (turn it)"), ...said.stations.map((each) => make("option", { value: each.photograph }, `photograph ${each.photograph}`)));
    select.value = said.stations.some((each) => each.photograph === kept) ? kept : "";
    this.listSteps();
    if (!this.begun) { this.begun = true; this.whole(); } else this.draw();
    performance.mark("in space");
  }

  build() {
    if (this.all) this.world.remove(this.all);
    this.all = new three.Group();
    this.world.add(this.all);
    this.named = [];
    this.byName = new Map();
    const laid = new Set(this.said.pipes.map((pipe) => pipe.name));
    for (const thing of this.said.things) {
      if (laid.has(thing.name) || (thing.kind === "old pipe" && this.said.tubes.length)) continue;
      const group = this.hold(thing.name, thing.kind);
      for (const solid of thing.solids) { const mesh = this.solid(solid, thing.kind); if (mesh) group.add(mesh); }
      const middle = new three.Box3().setFromObject(group).getCenter(new three.Vector3());
      if (thing.kind === "part" && group.children.length) this.named.push({ words: thing.name, at: middle, kind: "part", group });
    }
    for (const pipe of this.said.pipes) this.tube(pipe.name, pipe.vertices_mm, pipe.radius_mm, pipe.od_mm, "pipe", `new ${pipe.name}`);
    for (const tube of this.said.tubes) this.tube(tube.name, tube.vertices_mm, tube.bend_radius_mm ?? 0, tube.od_mm, "old pipe", `old ${tube.name}`);
    for (const point of this.said.points) this.point(point);
    this.dress();
  }

  hold(name, kind) {
    const group = new three.Group();
    group.userData = { name, kind };
    this.all.add(group);
    this.byName.set(name, [...(this.byName.get(name) ?? []), group]);
    return group;
  }

  stuff(kind) {
    const faint = kind === "engine" || kind === "old pipe";
    return new three.MeshStandardMaterial({ color: COLOURS[kind], roughness: 0.55, metalness: 0.25, transparent: faint, opacity: faint ? 0.38 : 1, depthWrite: !faint, side: three.DoubleSide });
  }

  solid(solid, kind) {
    const stuff = this.stuff(kind);
    if (solid.is === "box") {
      const mesh = new three.Mesh(new three.BoxGeometry(...solid.halves_mm.map((each) => 2 * each)), stuff);
      mesh.applyMatrix4(new three.Matrix4().makeBasis(...solid.axes.map(vector)).setPosition(...solid.middle_mm));
      return mesh;
    }
    if (solid.is === "halfspace") {
      const mesh = new three.Mesh(new three.PlaneGeometry(320, 320), stuff);
      mesh.quaternion.setFromUnitVectors(new three.Vector3(0, 0, 1), vector(solid.out));
      mesh.position.set(...solid.on_mm);
      return mesh;
    }
    const start = vector(solid.start_mm), end = vector(solid.end_mm), way = end.clone().sub(start), long = way.length();
    const six = solid.is === "hexagon", radius = six ? solid.flats_mm / Math.sqrt(3) : solid.radius_mm;
    const shape = solid.is === "capsule" ? new three.CapsuleGeometry(radius, long, 8, 20) : new three.CylinderGeometry(radius, radius, long || 0.1, six ? 6 : 32);
    const mesh = new three.Mesh(shape, stuff);
    if (six) {
      // The first corner of the drawn hexagon stands on its z axis; a flat is to face the way it is told.
      const up = way.clone().normalize(), flat = vector(solid.towards), aside = new three.Vector3().crossVectors(flat, up);
      const corner = flat.clone().multiplyScalar(Math.cos(Math.PI / 6)).addScaledVector(aside, Math.sin(Math.PI / 6));
      mesh.quaternion.setFromRotationMatrix(new three.Matrix4().makeBasis(new three.Vector3().crossVectors(up, corner), up, corner));
    } else if (long > 1e-6) mesh.quaternion.setFromUnitVectors(new three.Vector3(0, 1, 0), way.normalize());
    mesh.position.copy(start.add(end).multiplyScalar(0.5));
    return mesh;
  }

  tube(name, vertices, radius, od, kind, words) {
    const line = centreLine(vertices, radius), group = this.hold(name, kind);
    group.add(new three.Mesh(new three.TubeGeometry(new Polyline(line), Math.min(400, line.length * 2), od / 2, 16), this.stuff(kind)));
    this.named.push({ words, at: vector(line[Math.floor(line.length / 2)]), kind, group });
  }

  point(point) {
    const group = this.hold(point.name, "point");
    const dot = new three.Mesh(new three.OctahedronGeometry(0.9), new three.MeshStandardMaterial({ color: 0x2f7fd0, roughness: 0.4 }));
    dot.position.set(...point.at_mm);
    const cloud = new three.Mesh(new three.SphereGeometry(1, 20, 14), new three.MeshStandardMaterial({ color: 0x4aa3ff, transparent: true, opacity: 0.35, depthWrite: false }));
    const [a, b, c] = point.ways.map(vector);
    if (new three.Vector3().crossVectors(a, b).dot(c) < 0) c.negate();
    cloud.matrixAutoUpdate = false;
    cloud.matrix = new three.Matrix4().makeBasis(a.multiplyScalar(point.halves_mm[0]), b.multiplyScalar(point.halves_mm[1]), c.multiplyScalar(point.halves_mm[2])).setPosition(...point.at_mm);
    cloud.userData.unsure = true;
    group.add(dot, cloud);
    this.named.push({ words: point.name, at: vector(point.at_mm), kind: "point" });
  }

  get order() { return this.said?.orders.find((each) => each.do === find("#order").value) ?? null; }

  /** What is there at this step: what has not come off yet, or has gone on already. */
  dress() {
    const order = this.order, there = new Set(order ? order.there : this.said?.there ?? []), steps = order?.steps ?? [];
    const gone = new Set(order?.do === "off" ? steps.slice(0, this.at + 1).flatMap((step) => step.things) : steps.slice(this.at + 1).flatMap((step) => step.things));
    const laid = new Set(this.said?.pipes.map((pipe) => pipe.name) ?? []);
    this.all?.traverse((each) => {
      if (each.userData.unsure) each.visible = this.shows.unsure;
      const { kind, name } = each.userData;
      if (!kind) return;
      const stands = kind === "point" || there.has(name) || (!order && (kind === "old pipe" || laid.has(name)));
      each.visible = stands && (kind !== "old pipe" || order || this.shows.old) && (kind !== "engine" || this.shows.engine) && !gone.has(name);
      each.matrix.identity();
      each.matrixAutoUpdate = false;
      each.matrixWorldNeedsUpdate = true;
    });
  }

  whole() {
    const box = new three.Box3();
    for (const point of this.said?.points ?? []) box.expandByPoint(vector(point.at_mm));
    for (const pipe of this.said?.pipes ?? []) for (const each of pipe.vertices_mm) box.expandByPoint(vector(each));
    if (box.isEmpty()) for (const each of this.named) box.expandByPoint(each.at);
    if (box.isEmpty()) { this.draw(); return; }
    box.getCenter(this.target);
    this.far = Math.max(60, box.getSize(new three.Vector3()).length() * 1.25 * Math.max(1, 1.15 * this.canvas.clientHeight / Math.max(1, this.canvas.clientWidth)));
    // Begin on the side from which the photographs were taken.
    const eyes = (this.said?.stations ?? []).map((station) => vector(eye(station)));
    if (eyes.length) {
      const from = eyes.reduce((sum, each) => sum.add(each), new three.Vector3()).multiplyScalar(1 / eyes.length).sub(this.target).normalize();
      this.turn = [Math.atan2(from.y, from.x), Math.max(-1.3, Math.min(1.3, Math.asin(from.z)))];
    }
    this.draw();
  }

  take(name) {
    find("#camera").value = name;
    this.station = this.said?.stations.find((each) => each.photograph === name) ?? null;
    this.picture.hidden = !this.station;
    find("#nearer").disabled = find("#farther").disabled = Boolean(this.station);
    if (this.station) {
      const file = keeper.document.photographs[name].file;
      this.picture.onload = () => this.draw();
      this.picture.src = `/api/jobs/${encodeURIComponent(this.job)}/photographs/${encodeURIComponent(file)}?side=1600`;
    }
    this.draw();
  }

  draw() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => { this.waiting = false; this.paint(); });
  }

  paint() {
    const box = this.canvas.parentElement.getBoundingClientRect(), camera = this.camera;
    this.renderer.setPixelRatio(Math.min(devicePixelRatio || 1, 2));
    this.renderer.setSize(box.width, box.height, false);
    let [x, y, wide, tall] = [0, 0, box.width, box.height];
    this.frame = [0, 0, wide, tall];
    if (this.station) {
      const s = this.station, [w, h] = this.said.sizes[s.photograph], fit = Math.min(wide / w, tall / h);
      [x, y, wide, tall] = [(wide - fit * w) / 2, (tall - fit * h) / 2, fit * w, fit * h];
      const size = this.said.sizes[s.photograph], near = 5, far = 6000, [cx, cy] = s.centre_px;
      camera.matrixAutoUpdate = false;
      camera.matrixWorldAutoUpdate = false;
      const [right, down, ahead] = s.rotation.map(vector);
      camera.matrixWorld.makeBasis(right, down.negate(), ahead.negate()).setPosition(...eye(s));
      camera.matrixWorldInverse.copy(camera.matrixWorld).invert();
      camera.projectionMatrix.set((2 * s.focal_px) / size[0], 0, 1 - (2 * (cx + 0.5)) / size[0], 0, 0, (2 * s.focal_px) / size[1], (2 * (cy + 0.5)) / size[1] - 1, 0, 0, 0, -(far + near) / (far - near), (-2 * far * near) / (far - near), 0, 0, -1, 0);
      camera.projectionMatrixInverse.copy(camera.projectionMatrix).invert();
      this.picture.width = wide; this.picture.height = tall;
      this.frame = [x, y, wide, tall];
    } else {
      camera.matrixAutoUpdate = camera.matrixWorldAutoUpdate = true;
      const [around, up] = this.turn;
      camera.position.set(Math.cos(up) * Math.cos(around), Math.cos(up) * Math.sin(around), Math.sin(up)).multiplyScalar(this.far).add(this.target);
      camera.lookAt(this.target);
      camera.aspect = wide / Math.max(tall, 1);
      camera.updateProjectionMatrix();
      camera.updateMatrixWorld();
    }
    this.sun.position.setFromMatrixPosition(camera.matrixWorld);
    this.renderer.setViewport(x, box.height - y - tall, wide, tall);
    this.renderer.setClearColor(0, 0);
    this.renderer.render(this.world, camera);
    this.letter();
  }

  /** What is drawn in space is gone as soon as it was shown: for paper a picture is made of it, with its names. */
  onPaper() {
    this.paint();
    const sheet = make("canvas", { width: this.canvas.width, height: this.canvas.height }), pen = sheet.getContext("2d"), dots = this.renderer.getPixelRatio();
    const [x, y, wide, tall] = this.frame.map((each) => each * dots), stage = this.canvas.getBoundingClientRect();
    if (this.station && this.picture.complete) { pen.globalAlpha = 0.75; pen.drawImage(this.picture, x, y, wide, tall); pen.globalAlpha = 1; }
    pen.drawImage(this.canvas, 0, 0);
    pen.font = `${16 * dots}px "DejaVu Sans", Verdana, sans-serif`;
    for (const each of all("#names .letter")) {
      const box = each.getBoundingClientRect();
      pen.fillStyle = "#fffc"; pen.fillRect((box.left - stage.left) * dots, (box.top - stage.top) * dots, box.width * dots, box.height * dots);
      pen.fillStyle = "#000"; pen.fillText(each.textContent, (box.left - stage.left + 5) * dots, (box.bottom - stage.top - 6) * dots);
    }
    find("#on-paper")?.remove();
    this.canvas.parentElement.after(make("img", { id: "on-paper", alt: "", src: sheet.toDataURL("image/png") }));
  }

  letter() {
    const names = find("#names"), [x, y, wide, tall] = this.frame, taken = [];
    names.replaceChildren();
    if (!this.shows.names) return;
    for (const each of [...this.named].sort((a, b) => (a.kind === "pipe" ? -1 : b.kind === "pipe" ? 1 : 0))) {
      if (each.group && !each.group.visible) continue;
      const at = each.at.clone().project(this.camera);
      if (at.z > 1 || at.z < -1) continue;
      const px = x + ((at.x + 1) / 2) * wide, py = y + ((1 - at.y) / 2) * tall;
      if (px < 0 || py < 0 || px > x + wide - 40 || py > y + tall || taken.some(([a, b]) => Math.abs(a - px) < 110 && Math.abs(b - py) < 20)) continue;
      taken.push([px, py]);
      const word = make("span", { class: `letter ${each.kind.replace(" ", "-")}` }, each.words);
      word.style.setProperty("transform", `translate(${Math.round(px + 8)}px, ${Math.round(py - 9)}px)`);
      names.append(word);
    }
  }

  hands() {
    const canvas = this.canvas, at = (event) => [event.clientX, event.clientY];
    canvas.addEventListener("pointerdown", (event) => { canvas.setPointerCapture(event.pointerId); this.fingers.set(event.pointerId, at(event)); });
    for (const kind of ["pointerup", "pointercancel"]) canvas.addEventListener(kind, (event) => this.fingers.delete(event.pointerId));
    canvas.addEventListener("contextmenu", (event) => event.preventDefault());
    canvas.addEventListener("pointermove", (event) => {
      const was = this.fingers.get(event.pointerId);
      if (!was || this.station) return;
      const now = at(event), move = [now[0] - was[0], now[1] - was[1]];
      if (this.fingers.size === 1 && !(event.shiftKey || event.buttons === 2 || event.buttons === 4)) this.roll(-move[0] * 0.008, move[1] * 0.008);
      else {
        const other = [...this.fingers].find(([id]) => id !== event.pointerId)?.[1];
        if (other) this.near(Math.hypot(was[0] - other[0], was[1] - other[1]) / Math.max(20, Math.hypot(now[0] - other[0], now[1] - other[1])));
        this.shift(move[0] / (other ? 2 : 1), move[1] / (other ? 2 : 1));
      }
      this.fingers.set(event.pointerId, now);
    });
    canvas.addEventListener("wheel", (event) => { event.preventDefault(); if (!this.station) this.near(Math.exp(event.deltaY * 0.0012)); }, { passive: false });
    canvas.addEventListener("keydown", (event) => {
      const acts = {
        ArrowLeft: () => (event.shiftKey ? this.shift(40, 0) : this.roll(-0.12, 0)), ArrowRight: () => (event.shiftKey ? this.shift(-40, 0) : this.roll(0.12, 0)),
        ArrowUp: () => (event.shiftKey ? this.shift(0, 40) : this.roll(0, 0.1)), ArrowDown: () => (event.shiftKey ? this.shift(0, -40) : this.roll(0, -0.1)),
        "+": () => this.near(0.85), "=": () => this.near(0.85), "-": () => this.near(1.18), 0: () => find("#whole").click(),
      };
      if (event.ctrlKey || event.metaKey || !acts[event.key]) return;
      event.preventDefault();
      acts[event.key]();
    });
  }

  roll(around, up) { this.turn = [this.turn[0] + around, Math.max(-1.5, Math.min(1.5, this.turn[1] + up))]; this.draw(); }
  near(by) { this.far = Math.max(10, Math.min(4000, this.far * by)); this.draw(); }
  shift(x, y) {
    const by = (this.far * 2 * Math.tan((this.camera.fov * Math.PI) / 360)) / Math.max(1, this.canvas.clientHeight);
    const right = new three.Vector3().setFromMatrixColumn(this.camera.matrixWorld, 0), up = new three.Vector3().setFromMatrixColumn(this.camera.matrixWorld, 1);
    this.target.addScaledVector(right, -x * by).addScaledVector(up, y * by);
    this.draw();
  }

  listSteps() {
    const orders = this.said.orders, select = find("#order"), kept = select.value;
    select.replaceChildren(make("option", { value: "" }, "as it will be"), ...orders.map((each) => make("option", { value: each.do }, each.do === "off" ? "taking off, step by step" : "putting on, step by step")));
    select.value = orders.some((each) => each.do === kept) ? kept : "";
    select.hidden = find("#order-label").hidden = !orders.length;
    find("#no-steps").hidden = orders.length > 0;
    this.chooseOrder();
    if (this.stepping) return;
    this.stepping = true;
    select.addEventListener("change", () => this.chooseOrder());
    find("#step-first").addEventListener("click", () => this.begin());
    find("#step-back").addEventListener("click", () => this.back());
    find("#step-on").addEventListener("click", () => this.on());
    find("#step-play").addEventListener("click", () => this.play());
  }

  chooseOrder() {
    find("#steps").hidden = !this.order;
    this.begin();
  }

  begin() {
    this.moving = null;
    this.at = -1;
    this.dress();
    const steps = this.order?.steps ?? [];
    find("#step-words").textContent = steps.length ? `${steps.length} steps. Press On for the first.` : "";
    this.draw();
  }

  play() {
    const button = find("#step-play"), on = button.getAttribute("aria-pressed") !== "true";
    button.setAttribute("aria-pressed", on);
    clearInterval(this.playing);
    if (!on) return;
    if (this.at >= this.order.steps.length - 1) this.begin();
    this.on();
    this.playing = setInterval(() => { if (this.at >= this.order.steps.length - 1) this.play(); else this.on(); }, 3200);
  }

  on() {
    const steps = this.order?.steps ?? [];
    if (this.at >= steps.length - 1) return;
    const step = steps[++this.at];
    find("#step-words").textContent = `${this.at + 1} of ${steps.length}. ${step.words}`;
    this.move(step, step.poses);
  }

  back() {
    const steps = this.order?.steps ?? [];
    if (this.at < 0) return;
    const step = steps[this.at--];
    find("#step-words").textContent = this.at < 0 ? `${steps.length} steps. Press On for the first.` : `${this.at + 1} of ${steps.length}. ${steps[this.at].words}`;
    this.move(step, step.poses.toReversed());
  }

  /** What a step moves is shown on its way, whichever way it goes; then what is there is there. */
  move(step, poses) {
    const turn = (this.moving = {}), begin = performance.now(), still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    this.dress();
    if (still || poses.length < 2) { this.draw(); return; }
    const groups = step.things.map((name) => [name, (this.byName.get(name) ?? []).filter((each) => each.userData.kind !== "point")]);
    const frame = (now) => {
      if (turn !== this.moving) return;
      const share = Math.min(1, (now - begin) / 1600), pose = poses[Math.round(share * (poses.length - 1))];
      for (const [name, mine] of groups) for (const each of mine) {
        const m = pose[name];
        if (!m) continue;
        each.visible = true;
        each.matrix.set(...m, 0, 0, 0, 1);
        each.matrixWorldNeedsUpdate = true;
      }
      this.draw();
      if (share < 1) requestAnimationFrame(frame); else { this.dress(); this.draw(); }
    };
    requestAnimationFrame(frame);
  }
}

try {
  window.space = new Space();
} catch (error) {
  find("#space-state").textContent = `This browser cannot draw in space (${error.message}). The pipes are drawn over the photographs as well.`;
}
