// Elements made and filled: text only ever as text, so that nothing that a file or an order says becomes markup.

/** @typedef {Node | string | null | undefined | false} Child */

/**
 * An element such as `p.note`. A property that is a function listens, `true` sets the bare attribute, null and false leave it out.
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T | `${T}.${string}`} spec
 * @param {Record<string, any>} [props]
 * @param {...(Child | Child[])} children
 * @returns {HTMLElementTagNameMap[T]}
 */
export function el(spec, props = {}, ...children) {
  const [tag, ...classes] = spec.split('.');
  const made = /** @type {HTMLElementTagNameMap[T]} */ (document.createElement(tag));
  if (classes.length) made.classList.add(...classes);
  for (const [name, value] of Object.entries(props)) {
    if (typeof value === 'function') made.addEventListener(name, value);
    else if (name === 'class' && value) made.classList.add(value);
    else if (value !== null && value !== undefined && value !== false) made.setAttribute(name, value === true ? '' : String(value));
  }
  made.append(...some(children));
  return made;
}

/** @param {(Child | Child[])[]} children @returns {(Node | string)[]} */
const some = children => /** @type {(Node | string)[]} */ (children.flat().filter(child => child !== null && child !== undefined && child !== false));

/** @param {Element} parent @param {...(Child | Child[])} children */
export const fill = (parent, ...children) => parent.replaceChildren(...some(children));

/**
 * A button. `pressed` makes it a switch that says so.
 * @param {string} text @param {(event: MouseEvent) => void} click
 * @param {{pressed?: boolean, title?: string, kind?: string, label?: string}} [how]
 */
export function button(text, click, how = {}) {
  const made = el('button', { type: 'button', click, title: how.title, 'aria-label': how.label, 'aria-pressed': how.pressed?.toString() }, text);
  if (how.kind) made.classList.add(how.kind);
  return made;
}

/** A small square in a color that the art or the garment has. @param {string | null} color */
export function swatch(color) {
  const made = el('span.swatch', { 'aria-hidden': 'true' });
  if (color) made.style.setProperty('background-color', color);
  return made;
}

/** The one line that a screen reader hears. @param {string} text */
export function say(text) {
  const line = /** @type {HTMLElement} */ (document.getElementById('status'));
  line.textContent = text;
}

/**
 * Problems in words: what happened, then what to do.
 * @param {import('./api.js').Problem[]} problems
 */
export const problemList = problems => el('ul.problems', {}, problems.map(one => el('li', {},
  el('strong', {}, one.message), one.hint ? ` ${one.hint}` : '', el('span.code', {}, ` ${one.code}`))));

/**
 * Asks for one line, in a window of the page's own.
 * @param {string} title @param {string} label @param {string} value @param {string} go
 * @returns {Promise<string | null>} null where it was put away
 */
export function ask(title, label, value, go) {
  const input = el('input', { type: 'text', value, maxlength: 60, autocomplete: 'off', id: 'asked' });
  const form = el('form', { method: 'dialog' }, el('h2', {}, title), el('label', { for: 'asked' }, label), input,
    el('p.row', {}, el('button.main', { value: 'go' }, go), button('Not now', () => dialog.close(''))));
  const dialog = el('dialog', { 'aria-label': title }, form);
  document.body.append(dialog);
  dialog.showModal();
  input.select();
  return new Promise(done => dialog.addEventListener('close', () => {
    dialog.remove();
    done(dialog.returnValue === 'go' && input.value.trim() ? input.value.trim() : null);
  }));
}

/**
 * Asks whether something is wanted, in a window of the page's own.
 * @param {string} title @param {string} words @param {string} go @returns {Promise<boolean>}
 */
export function sure(title, words, go) {
  const dialog = el('dialog', { 'aria-label': title }, el('form', { method: 'dialog' }, el('h2', {}, title), el('p', {}, words),
    el('p.row', {}, button('Not now', () => dialog.close('')), el('button', { value: 'go' }, go))));
  document.body.append(dialog);
  dialog.showModal();
  return new Promise(done => dialog.addEventListener('close', () => {
    dialog.remove();
    done(dialog.returnValue === 'go');
  }));
}

/** @template {(...args: any[]) => void} F @param {F} act @param {number} pause @returns {F} */
export function later(act, pause) {
  let timer = 0;
  return /** @type {F} */ ((...args) => {
    clearTimeout(timer);
    timer = window.setTimeout(() => act(...args), pause);
  });
}
