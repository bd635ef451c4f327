// A point that was measured: its place typed, and how sure; or an ordinary point again, fixed by the photographs alone.
import { understood } from "./echo.js";
import { keeper } from "./page.js";
import { all, find } from "./make.js";

const AXES = ["x", "y", "z"];

export class Known {
  constructor(page) {
    this.page = page;
    this.dialog = find("#known-dialog");
    find("#known-place").addEventListener("click", () => this.open());
    find("#known-cancel").addEventListener("click", () => this.dialog.close());
    find("#known-ordinary").addEventListener("click", () => this.ordinary());
    find("#known-form").addEventListener("submit", (event) => { event.preventDefault(); this.save(); });
  }

  get name() { return find("#what-kind").value === "point" ? find("#what-name").value : ""; }

  /** The button is for a point that was chosen. */
  follow() { find("#known-place").disabled = !this.name; }

  open() {
    const name = (this.shown = this.name), entry = keeper.document.points?.[name] ?? {};
    const solved = this.page.seen?.survey?.points.find((each) => each.name === name);
    find("#known-title").textContent = `Where ${name} lies`;
    find("#known-solved").textContent = solved && !entry.at
      ? `The photographs put it at ${AXES.map((axis, place) => `${axis} ${solved.position_mm[place].toFixed(1)}`).join(", ")} mm.` : "";
    AXES.forEach((axis, place) => { find(`#known-${axis}`).value = entry.at?.[place] ?? ""; });
    find("#known-pm").value = entry.pm ?? "";
    find("#known-by").value = entry.by ?? "";
    find("#known-ordinary").hidden = !entry.at;
    find("#known-fault").textContent = "";
    for (const input of all("input[data-kind]", this.dialog)) input.dispatchEvent(new Event("input"));
    this.dialog.showModal();
  }

  async save() {
    const inputs = [...AXES, "pm"].map((key) => find(`#known-${key}`));
    let read;
    try { read = await Promise.all(inputs.map((input) => (input.value.trim() ? understood(input.value, "length") : null))); }
    catch { find("#known-fault").textContent = "The program does not answer: what was typed stays here."; return; }
    const bad = read.findIndex((each) => !each?.written), words = ["x", "y", "z", "plus or minus"][bad];
    if (bad >= 0) {
      find("#known-fault").textContent = read[bad] ? `${words}: ${read[bad].echo}` : `${words} is wanted too: a place is known by all three, and by how sure they are.`;
      inputs[bad].focus();
      return;
    }
    const [x, y, z, pm] = read.map((each) => each.written), by = find("#known-by").value.trim(), had = keeper.document.points?.[this.shown] ?? {};
    this.edit({ ...had, at: [x, y, z], pm, by: by || undefined }, `known place of ${this.shown}`);
  }

  ordinary() {
    const { at, pm, by, ...rest } = keeper.document.points?.[this.shown] ?? {};
    this.edit(rest, `${this.shown} an ordinary point`);
  }

  edit(value, words) {
    keeper.edit([{ path: ["points", this.shown], value: JSON.parse(JSON.stringify(value)) }], words);
    this.dialog.close();
    this.page.listThings();
    this.page.after();
  }
}
