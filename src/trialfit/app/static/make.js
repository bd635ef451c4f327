// Elements made by hand; words are always words, never markup.
export function make(tag, given = {}, ...inside) {
  const element = document.createElement(tag);
  for (const [key, value] of Object.entries(given)) {
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else if (key === "class") element.className = value;
    else if (value === true) element.setAttribute(key, "");
    else if (value !== false && value !== undefined && value !== null) element.setAttribute(key, value);
  }
  element.append(...inside.flat().filter((each) => each !== null && each !== undefined));
  return element;
}
export const find = (query, under = document) => under.querySelector(query);
export const all = (query, under = document) => [...under.querySelectorAll(query)];
