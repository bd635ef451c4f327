// A photograph taken out of a job: asked once, with what goes with it. The file stays, and undo brings all of it back.
import { find, make } from "./make.js";
import { keeper } from "./page.js";

const clicks = (marked) => Object.values(marked ?? {}).flatMap((each) => (Array.isArray(each) ? each : Object.values(each).flat(1))).length;
const several = (count, one, many) => (count ? [`${count} ${count === 1 ? one : many}`] : []);

/** What the document says of a photograph, and what becomes of it without. */
export function without(tree, name) {
  const points = Object.keys(tree.marks?.[name] ?? {});
  const elsewhere = (point) => Object.entries(tree.marks ?? {}).filter(([other, marks]) => other !== name && marks[point]).length;
  const lines = Object.entries(tree.parcel?.lines ?? {}).filter(([, line]) => line.photograph === name).map(([line]) => line);
  const tubes = Object.keys(tree.edges?.[name] ?? {}), rims = Object.keys(tree.rim_marks?.[name] ?? {});
  return {
    marks: [
      ...several(points.length, "mark of a point", "marks of points"),
      ...several(tubes.length, `tube's edges (${tubes.join(", ")})`, `tubes' edges (${tubes.join(", ")})`),
      ...several(rims.length, `rim (${rims.join(", ")})`, `rims (${rims.join(", ")})`),
    ],
    lost: points.filter((point) => elsewhere(point) < 2 && !tree.points?.[point]?.at),
    lines,
    changes: [
      { path: ["photographs", name], value: null },
      ...["marks", "edges", "rim_marks"].filter((key) => tree[key]?.[name]).map((key) => ({ path: [key, name], value: null })),
      ...lines.map((line) => ({ path: ["parcel", "lines", line, "photograph"], value: null })),
    ],
  };
}

export class Removing {
  constructor(page) {
    this.page = page;
    this.dialog = find("#remove-dialog");
    this.select = find("#remove-name");
    find("#remove-photograph").addEventListener("click", () => this.open());
    this.select.addEventListener("change", () => this.say());
    find("#remove-cancel").addEventListener("click", () => this.dialog.close());
    find("#remove-form").addEventListener("submit", (event) => { event.preventDefault(); this.remove(); });
  }

  follow() { find("#remove-photograph").disabled = !Object.keys(keeper.document.photographs ?? {}).length; }

  open() {
    const names = Object.entries(keeper.document.photographs ?? {});
    this.select.replaceChildren(...names.map(([name, entry]) => make("option", { value: name, selected: name === this.page.panes[0].name }, entry.note ? `${name}: ${entry.note}` : name)));
    this.say();
    this.dialog.showModal();
  }

  say() {
    const name = this.select.value, found = without(keeper.document, name), said = [];
    said.push(found.marks.length ? `With it go ${found.marks.join(", ")}.` : "Nothing is marked in it.");
    if (found.lost.length) said.push(`Then too few photographs show ${found.lost.join(", ")}: ${found.lost.length === 1 ? "this point" : "these points"} will have no place until marked in two others.`);
    if (found.lines.length) said.push(`The parcel's list names it for ${found.lines.join(", ")}: those lines stay, without a photograph.`);
    said.push("Undo brings all of it back; the photograph's file is kept in the workshop as long as any revision names it.");
    find("#remove-words").replaceChildren(...said.map((words) => make("p", {}, words)));
  }

  remove() {
    const name = this.select.value;
    keeper.edit(without(keeper.document, name).changes, `photograph ${name} taken out`);
    this.dialog.close();
    if (this.page.chosen?.photograph === name) this.page.chosen = null;
    this.page.held();
  }
}
