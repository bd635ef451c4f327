// What other pages left unsaved in this browser: said on every page, since only their own pages send it.
import { keysUnder } from "./kept.js";
import { find, make } from "./make.js";
import { waitingFor } from "./uploads.js";

const KINDS = [/^trialfit\.(?:edit|typed):(job|shop)\/([^:]+):/, /^trialfit\.text:(job|shop)\/(.+)$/, /^trialfit\.(press):([^:]+):/];

export async function leftElsewhere(here) {
  const names = new Map(), add = (kind, name) => kind === "shop" ? names.set("shop", ["/shop", "the shop's things"]) : names.set(`job/${name}`, [`/jobs/${encodeURIComponent(name)}`, name]);
  for (const key of keysUnder("trialfit.")) for (const kind of KINDS) { const found = kind.exec(key); if (found) add(found[1], found[2]); }
  for (const name of await waitingFor()) names.set(`job/${name}`, [`/jobs/${encodeURIComponent(name)}/photographs`, name]);
  names.delete(here);
  if (!names.size) return;
  const links = [...names.values()].map(([address, words]) => make("a", { class: "button", href: address }, words));
  find("#work").prepend(make("div", { class: "band", role: "status" }, make("b", {}, "Not saved, kept in this browser:"), ...links, "Open it, and it is sent."));
}
