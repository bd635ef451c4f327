// The survey's cameras: job frame to pixels of the upright photograph and back, lens and all.
// Polynomial lens k1, k2, p1, p2, k3 (Brown 1966, in the order OpenCV documents).

const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const add = (a, b, by = 1) => [a[0] + by * b[0], a[1] + by * b[1], a[2] + by * b[2]];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const unit = (a) => { const long = Math.hypot(...a) || 1; return [a[0] / long, a[1] / long, a[2] / long]; };
export const vectors = { sub, add, dot, cross, unit };

export function bent(x, y, lens) {
  const [k1, k2, p1, p2, k3] = lens, r2 = x * x + y * y, radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3));
  return [x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x), y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y];
}

/** Pixel of a point, or null behind the camera or where the lens is not known. */
export function project(station, point) {
  const turned = station.rotation.map((row, place) => dot(row, point) + station.translation_mm[place]);
  if (turned[2] < 1) return null;
  const x = turned[0] / turned[2], y = turned[1] / turned[2];
  if (x * x + y * y > 2.5) return null;
  const [u, v] = bent(x, y, station.distortion);
  return [u * station.focal_px + station.centre_px[0], v * station.focal_px + station.centre_px[1]];
}

export function straightened(station, px) {
  const u = (px[0] - station.centre_px[0]) / station.focal_px, v = (px[1] - station.centre_px[1]) / station.focal_px;
  let x = u, y = v;
  for (let turn = 0; turn < 30; turn++) {
    const [a, b] = bent(x, y, station.distortion);
    x += u - a; y += v - b;
    if (Math.abs(u - a) + Math.abs(v - b) < 1e-12) break;
  }
  return [x, y];
}

export function eye(station) {
  return [0, 1, 2].map((column) => -[0, 1, 2].reduce((sum, row) => sum + station.rotation[row][column] * station.translation_mm[row], 0));
}

export function ray(station, px) {
  const [x, y] = straightened(station, px), camera = [x, y, 1];
  return unit([0, 1, 2].map((column) => [0, 1, 2].reduce((sum, row) => sum + station.rotation[row][column] * camera[row], 0)));
}

/** The line in one photograph on which a point lies that is marked in another: seen along its ray, bent as the lens bends. */
export function lineOn(from, px, to, size) {
  const begin = eye(from), way = ray(from, px), line = [];
  for (let step = 0; step <= 240; step++) {
    const far = 20 * Math.pow(400, step / 240);  // 20 mm to 8 m along the ray
    const at = project(to, add(begin, way, far));
    if (at && at[0] > -size[0] && at[1] > -size[1] && at[0] < 2 * size[0] && at[1] < 2 * size[1]) line.push(at);
  }
  return line;
}

/** Half axes and turn of the ellipse, k = 2, in which a point's picture lies. */
export function ellipse(station, point, covariance) {
  const middle = project(station, point);
  if (!middle) return null;
  const step = 0.01, by = [0, 1, 2].map((axis) => {
    const moved = [...point]; moved[axis] += step;
    const at = project(station, moved);
    return at ? [(at[0] - middle[0]) / step, (at[1] - middle[1]) / step] : [0, 0];
  });
  let xx = 0, xy = 0, yy = 0;
  for (let i = 0; i < 3; i++) for (let j = 0; j < 3; j++) {
    xx += by[i][0] * covariance[i][j] * by[j][0]; xy += by[i][0] * covariance[i][j] * by[j][1]; yy += by[i][1] * covariance[i][j] * by[j][1];
  }
  const half = (xx + yy) / 2, spread = Math.hypot((xx - yy) / 2, xy);
  return { middle, long: 2 * Math.sqrt(Math.max(half + spread, 0)), short: 2 * Math.sqrt(Math.max(half - spread, 0)), turn: Math.atan2(2 * xy, xx - yy) / 2 };
}

/** Centre line of a bent tube as close points: corners rounded to the radius. */
export function centreLine(vertices, radius, spacing = 1.5) {
  const made = [vertices[0]];
  for (let place = 1; place < vertices.length - 1; place++) {
    const corner = vertices[place], back = unit(sub(vertices[place - 1], corner)), on = unit(sub(vertices[place + 1], corner));
    const turn = Math.PI - Math.acos(Math.max(-1, Math.min(1, dot(back, on))));
    if (!radius || turn < 1e-3) { made.push(corner); continue; }
    const tangent = radius * Math.tan(turn / 2), middle = add(corner, unit(add(back, on)), radius / Math.cos(turn / 2));
    const first = sub(add(corner, back, tangent), middle), way = unit(sub(add(corner, on, tangent), middle));
    const axis = unit(cross(first, way)), aside = cross(axis, first), count = Math.max(4, Math.ceil((radius * turn) / spacing));
    for (let step = 0; step <= count; step++) {
      const angle = (turn * step) / count;
      made.push(add(add(middle, first, Math.cos(angle)), aside, Math.sin(angle)));
    }
  }
  made.push(vertices.at(-1));
  const close = [];
  for (let place = 0; place < made.length - 1; place++) {
    const way = sub(made[place + 1], made[place]), count = Math.max(1, Math.ceil(Math.hypot(...way) / 4));
    for (let step = 0; step < count; step++) close.push(add(made[place], way, step / count));
  }
  close.push(made.at(-1));
  return close;
}

/** Both edges of a tube as one photograph shows them. */
export function tubeEdges(station, line, radius) {
  const from = eye(station), left = [], right = [];
  line.forEach((point, place) => {
    const along = unit(sub(line[Math.min(place + 1, line.length - 1)], line[Math.max(place - 1, 0)]));
    const aside = unit(cross(along, sub(point, from)));
    const one = project(station, add(point, aside, radius)), other = project(station, add(point, aside, -radius));
    if (one && other) { left.push(one); right.push(other); }
  });
  return { left, right };
}

/** Lines that show a simple solid, in the job frame. */
export function wires(solid) {
  const ring = (middle, axis, radius, count, towards) => {
    const a = towards ?? unit(cross(axis, Math.abs(axis[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0])), b = cross(axis, a), turned = towards ? Math.PI / count : 0;
    return Array.from({ length: count + 1 }, (_, step) => {
      const angle = turned + (2 * Math.PI * step) / count;
      return add(add(middle, a, radius * Math.cos(angle)), b, radius * Math.sin(angle));
    });
  };
  if (solid.is === "box") {
    const corner = (sx, sy, sz) => [sx, sy, sz].reduce((at, sign, axis) => add(at, solid.axes[axis], sign * solid.halves_mm[axis]), solid.middle_mm);
    const lines = [];
    for (const a of [-1, 1]) for (const b of [-1, 1]) lines.push([corner(-1, a, b), corner(1, a, b)], [corner(a, -1, b), corner(a, 1, b)], [corner(a, b, -1), corner(a, b, 1)]);
    return lines;
  }
  if (!solid.start_mm) return [];
  const way = sub(solid.end_mm, solid.start_mm), axis = Math.hypot(...way) > 1e-6 ? unit(way) : [0, 0, 1];
  const six = solid.is === "hexagon", count = six ? 6 : 24, radius = six ? solid.flats_mm / Math.sqrt(3) : solid.radius_mm;
  const one = ring(solid.start_mm, axis, radius, count, six ? solid.towards : null), other = ring(solid.end_mm, axis, radius, count, six ? solid.towards : null);
  return [one, other, ...one.slice(0, -1).filter((_, place) => six || place % 6 === 0).map((point, place) => [point, other[six ? place : place * 6]])];
}
