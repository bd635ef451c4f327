// What is drawn over a photograph. Every kind has a shape or dash of its own, so that none rests on colour alone.
import { centreLine, ellipse, lineOn, project, tubeEdges, vectors, wires } from "./optics.js";

const INK = { mark: "#ffe14d", solved: "#7df9ff", line: "#ff9df5", pipe: "#53ff8a", old: "#ffb86b", suspect: "#ff7b7b", part: "#b7c7ff" };
const FONT = "600 16px 'DejaVu Sans', Verdana, sans-serif";

function stroke(pen, colour, wide, dash = []) {
  pen.setLineDash([]); pen.lineWidth = wide + 2.4; pen.strokeStyle = "#000a"; pen.stroke();
  pen.setLineDash(dash); pen.lineWidth = wide; pen.strokeStyle = colour; pen.stroke();
  pen.setLineDash([]);
}

function trace(pen, points, pane) {
  points.forEach((each, place) => { const [x, y] = pane.toScreen(each); if (place) pen.lineTo(x, y); else pen.moveTo(x, y); });
}

function run(pen, points, pane, close = false) {
  pen.beginPath();
  trace(pen, points, pane);
  if (close) pen.closePath();
}

function words(pen, text, x, y, colour) {
  pen.font = FONT;
  pen.lineWidth = 4; pen.strokeStyle = "#000d"; pen.lineJoin = "round";
  pen.strokeText(text, x, y); pen.fillStyle = colour; pen.fillText(text, x, y);
}

/** Whether a name lies on no other; then its place is taken. Nearer, there is room for more of them. */
function isFree(box, taken) {
  if (taken.some((each) => box[0] < each[2] && box[2] > each[0] && box[1] < each[3] && box[3] > each[1])) return false;
  taken.push(box);
  return true;
}

/** The parts, as they stand while no mark is moved. */
export function paintParts(pen, pane, page) {
  const station = page.scene?.survey?.stations.find((each) => each.photograph === pane.name);
  if (page.showing && station) for (const thing of page.things) if (thing.kind === "part") paintThing(pen, pane, station, thing);
}

/** All that follows a mark. */
export function paintOver(pen, pane, page) {
  const station = page.station(pane.name), seen = page.seen, taken = [];
  let lines = [];
  if (page.showing && station && seen) {
    for (const tube of seen.survey.tubes) paintTube(pen, pane, station, tube.vertices_mm, tube.bend_radius_mm ?? 0, tube.od_mm / 2, INK.old, [10, 6], `old ${tube.name}`);
    for (const rim of seen.survey.rims) paintRim(pen, pane, station, rim, seen.survey);
    for (const pipe of Object.values(seen.pipes)) paintTube(pen, pane, station, pipe.vertices_mm, pipe.radius_mm, pipe.tube.od_mm / 2, INK.pipe, [], `new ${pipe.name}`);
    lines = paintLines(pen, pane, station, page);
    for (const point of seen.survey.points) paintSolved(pen, pane, station, point, page.chosen?.name === point.name, page.isKnown(point.name));
  }
  paintMarks(pen, pane, page, taken);
  for (const [text, line] of lines) nameLine(pen, pane, text, line, taken);
}

function paintThing(pen, pane, station, thing) {
  pen.beginPath();
  for (const solid of thing.solids) for (const line of wires(solid)) {
    const shown = line.map((point) => project(station, point));
    if (shown.every(Boolean)) trace(pen, shown, pane);
  }
  pen.lineWidth = 0.9; pen.strokeStyle = INK.part; pen.stroke();
}

function paintTube(pen, pane, station, vertices, radius, half, colour, dash, name) {
  const { left, right } = tubeEdges(station, centreLine(vertices, radius), half);
  if (left.length < 2) return;
  run(pen, [...left, ...right.slice().reverse()], pane, true);
  pen.fillStyle = `${colour}38`; pen.fill();
  stroke(pen, colour, 2.2, dash);
  const [x, y] = pane.toScreen(left[Math.floor(left.length / 2)]);
  words(pen, name, x + 8, y - 8, colour);
}

function paintRim(pen, pane, station, rim, survey) {
  const centre = survey.points.find((each) => each.name === rim.centre);
  if (!centre) return;
  const axis = rim.axis.direction, { unit, cross, add } = vectors, a = unit(cross(axis, Math.abs(axis[2]) < 0.9 ? [0, 0, 1] : [1, 0, 0])), b = cross(axis, a);
  const ring = Array.from({ length: 49 }, (_, step) => project(station, add(add(centre.position_mm, a, rim.radius_mm * Math.cos((step * Math.PI) / 24)), b, rim.radius_mm * Math.sin((step * Math.PI) / 24))));
  if (ring.some((each) => !each)) return;
  run(pen, ring, pane);
  stroke(pen, INK.old, 2, [4, 4]);
}

/** Where the chosen point must lie, from every other photograph that shows it. */
function paintLines(pen, pane, station, page) {
  const named = [];
  if (page.chosen?.kind !== "point") return named;
  for (const name of Object.keys(page.sizes)) {
    const from = name !== pane.name && page.station(name);
    const mark = from && page.marksOn(name).find((each) => each.kind === "point" && each.name === page.chosen.name);
    if (!mark) continue;
    const line = lineOn(from, mark.px, station, pane.size);
    if (line.length < 2) continue;
    run(pen, line, pane);
    stroke(pen, INK.line, 1.8, [14, 5, 3, 5]);
    named.push([`from ${name}`, line.map((each) => pane.toScreen(each))]);
  }
  return named;
}

/** A line's name stands where it is seen whole and on no other's. */
function nameLine(pen, pane, text, line, taken) {
  pen.font = FONT;
  const long = pen.measureText(text).width, shown = line.filter(([x, y]) => x > 10 && y > 30 && x + long < pane.wide - 6 && y < pane.tall - 10);
  for (const share of [0.85, 0.7, 0.55, 0.98, 0.4, 0.25, 0.1]) {
    const at = shown[Math.floor((shown.length - 1) * share)];
    if (at && isFree([at[0], at[1] - 14, at[0] + long, at[1] + 4], taken)) { words(pen, text, ...at, INK.line); return; }
  }
}

function paintSolved(pen, pane, station, point, chosen, known) {
  const shape = ellipse(station, point.position_mm, point.covariance_mm2);
  if (!shape) return;
  const [x, y] = pane.toScreen(shape.middle);
  if (x < -50 || y < -50 || x > pane.wide + 50 || y > pane.tall + 50) return;
  pen.beginPath();
  pen.ellipse(x, y, Math.max(shape.long * pane.scale, 1), Math.max(shape.short * pane.scale, 1), shape.turn, 0, 7);
  stroke(pen, INK.solved, chosen ? 2.4 : 1.4);
  pen.beginPath(); pen.moveTo(x - 5, y); pen.lineTo(x + 5, y); pen.moveTo(x, y - 5); pen.lineTo(x, y + 5);
  // A place that was typed stands on a foot.
  if (known) { pen.moveTo(x, y + 5); pen.lineTo(x - 8, y + 15); pen.lineTo(x + 8, y + 15); pen.closePath(); }
  stroke(pen, INK.solved, 1.2);
}

function paintMarks(pen, pane, page, taken) {
  const suspects = page.seen?.survey?.suspects ?? [];
  const first = (mark) => (page.isSame(mark, page.chosen) ? 0 : suspects.some((each) => each.photograph === pane.name && each.point === mark.name) ? 1 : 2);
  for (const mark of page.marksOn(pane.name).sort((a, b) => first(a) - first(b))) {
    const [x, y] = pane.toScreen(mark.px), chosen = page.isSame(mark, page.chosen), large = chosen ? 13 : 8;
    const suspect = mark.kind === "point" && suspects.find((each) => each.photograph === pane.name && each.point === mark.name);
    pen.beginPath();
    if (suspect) pen.rect(x - large - 3, y - large - 3, 2 * large + 6, 2 * large + 6);
    else if (mark.kind === "edge") { pen.moveTo(x - large, y - large); pen.lineTo(x + large, y + large); pen.moveTo(x - large, y + large); pen.lineTo(x + large, y - large); }
    else if (mark.kind === "rim") { pen.moveTo(x, y - large); pen.lineTo(x + large, y); pen.lineTo(x, y + large); pen.lineTo(x - large, y); pen.closePath(); }
    else pen.arc(x, y, large, 0, 7);
    stroke(pen, suspect ? INK.suspect : INK.mark, chosen ? 3 : 2);
    if (suspect) {
      // Where the others would have it: the slip taken back.
      const [tx, ty] = pane.toScreen([mark.px[0] - suspect.way_px[0], mark.px[1] - suspect.way_px[1]]);
      pen.beginPath(); pen.moveTo(x, y); pen.lineTo(tx, ty); stroke(pen, INK.suspect, 2, [5, 4]);
    }
    if (mark.kind !== "point") continue;
    const text = suspect ? `${mark.name}: suspect${suspect.set_aside ? ", set aside" : ""}` : mark.name;
    pen.font = FONT;
    const long = pen.measureText(text).width, beside = x + large + 5 + long > pane.wide ? Math.max(4, x - large - 5 - long) : x + large + 5;
    if (!isFree([beside, y - 9, beside + long, y + 9], taken) && !chosen) continue;
    words(pen, text, beside, y + 5, suspect ? INK.suspect : INK.mark);
  }
}
