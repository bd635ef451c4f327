// Where words wait until the program has them: the browser's own store, or this page alone where that is full or shut.
const loose = new Map();

function stored(act, otherwise) {
  try { return act(localStorage); } catch { return otherwise; }
}

/** Lay words down. Whether they outlive the page. */
export function lay(key, words) {
  const lasts = stored((store) => { store.setItem(key, words); return true; }, false);
  if (lasts) loose.delete(key); else loose.set(key, words);
  return lasts;
}

export function lift(key) {
  loose.delete(key);
  stored((store) => store.removeItem(key));
}

export const lying = (key) => loose.get(key) ?? stored((store) => store.getItem(key), null);

/** Everything laid down under keys that begin so, as it was before it was written as JSON. */
export function under(beginning) {
  const keys = new Set(loose.keys());
  stored((store) => { for (let place = 0; place < store.length; place++) keys.add(store.key(place)); });
  const found = [];
  for (const key of keys) if (key.startsWith(beginning)) try { found.push(JSON.parse(lying(key))); } catch { /* not ours */ }
  return found;
}

export const keysUnder = (beginning) => stored((store) => Object.keys(store).filter((key) => key.startsWith(beginning)), []);

/** How many things would go with this page. */
export const onlyHere = () => loose.size;

addEventListener("beforeunload", (event) => { if (loose.size) event.preventDefault(); });
