"use strict";
// The turning view of the owner's page: triangles drawn by WebGL, no library and nothing from outside.
(() => {
  const scene = JSON.parse(document.getElementById("scene").textContent);
  const canvas = document.getElementById("view");
  const told = document.getElementById("view-step");
  const gl = canvas.getContext("webgl", { antialias: true });
  if (!gl) {
    document.getElementById("no-view").hidden = false;
    return;
  }
  document.getElementById("space").hidden = false;

  const shader = (kind, text) => {
    const made = gl.createShader(kind);
    gl.shaderSource(made, text);
    gl.compileShader(made);
    return made;
  };
  const program = gl.createProgram();
  gl.attachShader(program, shader(gl.VERTEX_SHADER,
    "attribute vec3 corner, normal; uniform mat4 eye, place; varying vec3 facing;" +
    "void main() { vec4 at = place * vec4(corner, 1.0); facing = mat3(place) * normal; gl_Position = eye * at; }"));
  gl.attachShader(program, shader(gl.FRAGMENT_SHADER,
    "precision mediump float; varying vec3 facing; uniform vec3 paint, light;" +
    "void main() { float lit = 0.45 + 0.55 * abs(dot(normalize(facing), light)); gl_FragColor = vec4(paint * lit, 1.0); }"));
  gl.linkProgram(program);
  gl.useProgram(program);
  const places = Object.fromEntries(["eye", "place", "paint", "light"].map((name) => [name, gl.getUniformLocation(program, name)]));
  gl.enable(gl.DEPTH_TEST);

  // Corners come in hundredths of a millimetre; each triangle gets its own, so that faces are flat.
  const things = scene.things.map((thing) => {
    const flat = [];
    for (let face = 0; face < thing.faces.length; face += 3) {
      const [a, b, c] = [0, 1, 2].map((k) => thing.corners.slice(3 * thing.faces[face + k], 3 * thing.faces[face + k] + 3).map((x) => x / 100));
      const u = b.map((x, k) => x - a[k]);
      const v = c.map((x, k) => x - a[k]);
      const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
      for (const corner of [a, b, c]) flat.push(...corner, ...n);
    }
    const buffer = gl.createBuffer();
    gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array(flat), gl.STATIC_DRAW);
    return { name: thing.name, kind: thing.kind, buffer, count: flat.length / 6 };
  });

  const paints = { engine: [0.86, 0.86, 0.84], part: [0.80, 0.68, 0.38], pipe: [0.80, 0.48, 0.30], "old pipe": [0.7, 0.7, 0.7], moving: [0.10, 0.42, 0.66] };
  let [around, above, far] = [scene.view.around, scene.view.above, scene.view.far];
  let step = null;
  let share = 1;
  let playing = 0;

  const multiply = (a, b) => {
    const made = new Float32Array(16);
    for (let col = 0; col < 4; col++)
      for (let row = 0; row < 4; row++)
        for (let k = 0; k < 4; k++) made[4 * col + row] += a[4 * k + row] * b[4 * col + k];
    return made;
  };
  const eyeAt = () => {
    const [ca, sa, cb, sb] = [Math.cos(around), Math.sin(around), Math.cos(above), Math.sin(above)];
    const back = [sa * cb, -ca * cb, sb];
    const right = [ca, sa, 0];
    const up = [-sa * sb, ca * sb, cb];
    const middle = scene.view.middle;
    const stood = middle.map((x, k) => x + far * back[k]);
    const dot = (axis) => -axis.reduce((sum, x, k) => sum + x * stood[k], 0);
    const look = new Float32Array([right[0], up[0], back[0], 0, right[1], up[1], back[1], 0, right[2], up[2], back[2], 0, dot(right), dot(up), dot(back), 1]);
    const [near, deep] = [far / 50, far * 20];
    const wide = 1 / Math.tan(0.35);
    const lens = new Float32Array([wide * canvas.height / canvas.width, 0, 0, 0, 0, wide, 0, 0, 0, 0, (near + deep) / (near - deep), -1, 0, 0, 2 * near * deep / (near - deep), 0]);
    gl.uniform3fv(places.light, back);
    return multiply(lens, look);
  };
  // A motion turns about an axis through a point and goes along it; t is how much of it is done.
  const moved = (motion, t) => {
    const [x, y, z] = motion.way;
    const turn = 2 * Math.PI * motion.turns * t;
    const [c, s] = [Math.cos(turn), Math.sin(turn)];
    const C = 1 - c;
    const R = [[c + x * x * C, x * y * C - z * s, x * z * C + y * s], [y * x * C + z * s, c + y * y * C, y * z * C - x * s], [z * x * C - y * s, z * y * C + x * s, c + z * z * C]];
    const p = motion.on || [0, 0, 0];
    const shift = p.map((at, row) => at - R[row].reduce((sum, r, k) => sum + r * p[k], 0) + motion.way[row] * motion.far * t);
    return new Float32Array([R[0][0], R[1][0], R[2][0], 0, R[0][1], R[1][1], R[2][1], 0, R[0][2], R[1][2], R[2][2], 0, ...shift, 1]);
  };
  const still = new Float32Array([1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]);
  const placeOf = (motions, away) => {
    let place = still;
    // away 0 is home; the first motion is the one nearest home.
    motions.forEach((motion, k) => {
      const t = Math.min(1, Math.max(0, away * motions.length - k));
      place = multiply(moved(motion, t), place);
    });
    return place;
  };
  const there = (name) => {
    if (!step) return scene.atLast.includes(name);
    return step.there.includes(name) || step.parts.includes(name);
  };
  const draw = () => {
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.clearColor(1, 1, 1, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.uniformMatrix4fv(places.eye, false, eyeAt());
    for (const thing of things) {
      if (thing.kind !== "engine" && !there(thing.name)) continue;
      const moving = step && step.parts.includes(thing.name);
      gl.uniformMatrix4fv(places.place, false, moving ? placeOf(step.motions, step.on ? 1 - share : share) : still);
      gl.uniform3fv(places.paint, moving ? paints.moving : paints[thing.kind]);
      gl.bindBuffer(gl.ARRAY_BUFFER, thing.buffer);
      ["corner", "normal"].forEach((name, k) => {
        const at = gl.getAttribLocation(program, name);
        gl.enableVertexAttribArray(at);
        gl.vertexAttribPointer(at, 3, gl.FLOAT, false, 24, 12 * k);
      });
      gl.drawArrays(gl.TRIANGLES, 0, thing.count);
    }
    canvas.dataset.drawn = String(Number(canvas.dataset.drawn || 0) + 1);
  };
  const play = (number) => {
    step = scene.steps.find((each) => each.number === number);
    told.textContent = step.told;
    const mine = ++playing;
    const began = performance.now();
    // Who asked for no motion is shown where it ends.
    const lasts = matchMedia("(prefers-reduced-motion: reduce)").matches ? 1 : 2600;
    const tick = (now) => {
      if (mine !== playing) return;
      share = Math.min(1, (now - began) / lasts);
      draw();
      if (share < 1) requestAnimationFrame(tick);
    };
    requestAnimationFrame(tick);
  };
  for (const button of document.querySelectorAll(".play")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      // The view comes to the step, so that step and view are seen together on a small screen.
      button.parentElement.after(document.getElementById("space"));
      play(Number(button.dataset.step));
    });
  }

  const fingers = new Map();
  const spread = () => {
    const [a, b] = [...fingers.values()];
    return Math.hypot(a.x - b.x, a.y - b.y);
  };
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
  });
  canvas.addEventListener("pointermove", (event) => {
    const was = fingers.get(event.pointerId);
    if (!was) return;
    const before = fingers.size === 2 ? spread() : 0;
    const now = { x: event.clientX, y: event.clientY };
    fingers.set(event.pointerId, now);
    if (fingers.size === 2) {
      far = Math.min(scene.view.far * 4, Math.max(scene.view.far / 8, far * before / Math.max(spread(), 1)));
    } else {
      around -= (now.x - was.x) / 150;
      above = Math.min(1.5, Math.max(-1.5, above + (now.y - was.y) / 150));
    }
    draw();
  });
  for (const kind of ["pointerup", "pointercancel"]) canvas.addEventListener(kind, (event) => fingers.delete(event.pointerId));
  const keys = { ArrowLeft: [0.12, 0], ArrowRight: [-0.12, 0], ArrowUp: [0, 0.12], ArrowDown: [0, -0.12] };
  canvas.addEventListener("keydown", (event) => {
    if (event.key === "+" || event.key === "-") far *= event.key === "+" ? 0.9 : 1.1;
    else if (keys[event.key]) {
      around += keys[event.key][0];
      above = Math.min(1.5, Math.max(-1.5, above + keys[event.key][1]));
    } else return;
    event.preventDefault();
    draw();
  });
  canvas.addEventListener("wheel", (event) => {
    event.preventDefault();
    far *= Math.exp(event.deltaY / 800);
    draw();
  }, { passive: false });
  draw();
})();
