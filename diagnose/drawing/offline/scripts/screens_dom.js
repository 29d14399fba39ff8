"use strict";

/*
 * Elements of the page. Whatever a tree or a case says is put in as text, never as markup; a property of an
 * element that could hold markup or a program is refused here, once for all screens.
 */
Diagnose.dom = (() => {
  const ALLOWED = new Set([
    "id", "class", "type", "name", "value", "for", "href", "role", "tabindex", "open", "lang", "readonly", "rows",
    "selected", "inputmode", "autocomplete", "spellcheck",
  ]);
  const LINKS = /^tel:\+?[0-9]+$/;
  const TWICE = 300;

  let shownAt = -Infinity;

  // What there is of children: lists of them opened, what is empty left out.
  const present = children => children.flat(Infinity).filter(child => ![null, undefined, ""].includes(child));

  // An element with attributes and children: texts, elements, or lists of either; what is empty is left out.
  function make(tag, attributes = {}, ...children) {
    const node = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      const known = ALLOWED.has(name) || /^aria-[a-z]+$/.test(name);
      if (!known || (name === "href" && !LINKS.test(value))) {
        throw new TypeError(`no element here has ${name}=${value}`);
      }
      if (value !== false && value !== null && value !== undefined) {
        node.setAttribute(name, value === true ? "" : String(value));
      }
    }
    node.append(...present(children));
    return node;
  }

  // A paragraph; null for an empty text, so that it can stand in any list of children.
  const say = (text, manner = "") => (text && text.trim() ? make("p", manner ? { class: manner } : {}, text) : null);

  // A button. `act` runs at a press by finger, key or reader; a second tap that was meant for the screen
  // before does nothing, unless the button is `firm`.
  function button(text, act, { manner = "", firm = false, ...attributes } = {}) {
    const node = make("button", { type: "button", class: manner || null, ...attributes }, text);
    node.addEventListener("click", event => {
      const byHand = event.detail > 0;
      if (!firm && byHand && (event.detail > 1 || performance.now() - shownAt < TWICE)) {
        return;
      }
      act(event);
    });
    return node;
  }

  // Something that is folded up until it is asked for; `fill` makes its content when it is opened first.
  function folded(title, fill, attributes = {}) {
    const node = make("details", attributes, make("summary", {}, title));
    let filled = false;
    node.addEventListener("toggle", () => {
      if (node.open && !filled && node.isConnected) {
        filled = true;
        node.append(make("div", { class: "unfolded" }, fill()));
      }
    });
    return node;
  }

  // A list; nothing where there are no entries.
  const list = (entries, manner = "") =>
    entries.length ? make("ul", manner ? { class: manner } : {}, entries.map(entry => make("li", {}, entry))) : null;

  const fill = (node, ...children) => {
    node.replaceChildren(...present(children));
    return node;
  };

  const byId = id => document.getElementById(id);

  // A new screen is there: taps in the next moment were meant for the last one.
  const shown = () => {
    shownAt = performance.now();
  };

  return Object.freeze({ make, say, button, folded, list, fill, byId, shown });
})();
