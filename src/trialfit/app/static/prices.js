// The shop's prices, first filled: by hand, or from the example's figures, each of which is marked until it is changed.
import { soon } from "./anew.js";
import { faultWords } from "./ask.js";
import { at, same } from "./keeper.js";
import { find, make } from "./make.js";

const panel = find("#prices");
const example = panel ? JSON.parse(panel.dataset.example) : null;
const EACH = { piece: "a piece", m: "a metre", kg: "a kilogram", g: "a gram" };
const amount = (typed) => typed.trim().replace(",", ".");

/** Whether a price began as the example's and has not been changed since. */
export function isAssumed(tree, path) {
  if (!example || path[0] !== "pricing" || tree.pricing?.assumed !== true) return false;
  const mine = at(tree, path), its = at({ pricing: example }, path);
  if (path[3] === "bands") return (example.post[path[2]]?.bands ?? []).some((band) => same(band, at(tree, path.slice(0, 5)))) && path[5] === "price";
  return ["rate", "minimum", "price"].includes(path.at(-1)) && mine !== undefined && its !== undefined && Number(mine) === Number(its);
}

/** Where every price stands that is still the example's, and what it is for. */
function left(tree) {
  const { post = {}, stock = {} } = tree.pricing ?? {};
  const all = [[["pricing", "rate"], "An hour's work"], [["pricing", "minimum"], "Least charge for the work of a job"]];
  for (const [name, way] of Object.entries(post)) (way.bands ?? []).forEach((band, place) => all.push([["pricing", "post", name, "bands", place, "price"], `Post ${name}, up to ${band.up_to}`]));
  for (const [name, thing] of Object.entries(stock)) all.push([["pricing", "stock", name, "price"], `${thing.what || name}, ${EACH[thing.each ?? "piece"]}`]);
  return all.filter(([path]) => isAssumed(tree, path));
}

export function pricesPanel(keeper) {
  const [own, none, assumed, rows, faults] = ["own", "none", "assumed", "rows", "faults"].map((part) => find(`#prices-${part}`));
  const field = (name) => find(`#price-${name}`);

  function put(path, value) {
    // A list has no names for what is in it: it is kept whole.
    const list = path.findIndex((key) => typeof key === "number");
    if (list < 0) { keeper.edit([{ path, value }]); return; }
    const whole = structuredClone(at(keeper.document, path.slice(0, list)));
    at(whole, path.slice(list, -1))[path.at(-1)] = value;
    keeper.edit([{ path: path.slice(0, list), value: whole }]);
  }

  const sign = (path, tree) => `${path.join(" ")} ${tree.pricing.currency}`;

  /** A row goes when its price is the shop's own; the others stay as they are, with whatever is being typed in them. */
  function lay(waits, tree) {
    const wanted = new Map(waits.map((each) => [sign(each[0], tree), each]));
    for (const there of [...rows.children]) {
      if (wanted.delete(there.dataset.of)) continue;
      const had = there.contains(document.activeElement), next = there.nextElementSibling ?? there.previousElementSibling;
      there.remove();
      if (had) (next?.querySelector("input") ?? panel).focus();
    }
    rows.append(...[...wanted.values()].map((each) => row(each, tree)));
  }

  function row([path, words], tree) {
    const input = make("input", { type: "text", class: "short", inputmode: "decimal", autocomplete: "off", "data-path": path.join("\n"), "aria-label": `Your price: ${words}` });
    input.addEventListener("change", () => { if (amount(input.value)) put(path, amount(input.value)); });
    return make("tr", { "data-of": sign(path, tree) }, make("th", { scope: "row" }, words), make("td", {}, `${at(tree, path)} ${tree.pricing.currency ?? ""}, assumed`), make("td", {}, input));
  }

  function draw() {
    if (!keeper.held) return;
    const refused = keeper.edits.filter((edit) => edit.state === "refused" && edit.changes.some((change) => change.path[0] === "pricing"));
    const tree = refused.length ? keeper.held.document ?? {} : keeper.document;
    const waits = left(tree), priced = tree.pricing?.rate !== undefined;
    const now = JSON.stringify([tree.pricing ?? null, refused]);
    if (now === panel.dataset.drawn) return;
    panel.dataset.drawn = now;
    none.hidden = priced;
    assumed.hidden = !waits.length;
    own.hidden = !priced || waits.length > 0;
    own.textContent = priced ? `These are the shop's own prices: ${tree.pricing.rate} ${tree.pricing.currency} an hour. All of them stand below under pricing.` : "";
    lay(waits, tree);
    faults.hidden = !refused.length;
    faults.replaceChildren(...refused.map((edit) => make("div", {}, faultWords(edit.faults).map((words) => make("p", {}, `Not saved. ${words}`)),
      make("button", { type: "button", onclick: () => keeper.drop(edit.id) }, "Leave it as it was"))));
  }

  find("#prices-form").addEventListener("submit", (event) => {
    event.preventDefault();
    const given = { currency: field("currency").value.trim().toUpperCase(), rate: amount(field("rate").value), minimum: amount(field("minimum").value), pay_to: field("pay-to").value.trim() };
    keeper.edit([{ path: ["pricing"], value: { ...(keeper.document.pricing ?? {}), ...Object.fromEntries(Object.entries(given).filter(([, typed]) => typed)) } }]);
  });
  find("#prices-example").addEventListener("click", () => {
    const { post = {}, stock = {}, ...mine } = keeper.document.pricing ?? {};
    keeper.edit([{ path: ["pricing"], value: { ...example, ...mine, post: { ...example.post, ...post }, stock: { ...example.stock, ...stock } } }]);
    panel.focus();
  });
  find("#prices-ours").addEventListener("click", () => { keeper.edit([{ path: ["pricing", "assumed"], value: null }]); panel.focus(); });
  keeper.addEventListener("held", () => soon(draw));
  keeper.addEventListener("edits", () => soon(draw));
  draw();
}
