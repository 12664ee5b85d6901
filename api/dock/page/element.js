// Elements are made one by one, so that no text from a sheet is ever read as markup.

export function make(tag, attributes = {}, ...inner) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (value !== null) element.setAttribute(name, value);
  }
  element.append(...inner.filter((part) => part !== null));
  return element;
}
