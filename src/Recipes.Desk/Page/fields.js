// One control for each type of parameter. Each gives its value as the text that the recipe takes.
import { button, el, fill, swatch } from './dom.js';
import { numbersOf, textOf } from './regions.js';

/**
 * What a control may ask the picture for.
 * @typedef {{pickColor: (done: (color: string) => void) => void, drawBox: (done: (box: string) => void) => void,
 *   colors: () => string[], regions: () => import('./api.js').Region[]}} Picture
 * @typedef {{root: HTMLElement, set: (value: string) => void}} Field
 * @typedef {(value: string) => void} Changed
 */

/** @param {string} [id] @param {Record<string, any>} [more] */
const text = (id, more = {}) => el('input', { type: 'text', id, autocomplete: 'off', spellcheck: 'false', ...more });

/** @param {import('./api.js').Parameter} parameter @param {string} id @param {Changed} changed @returns {Field} */
function range(parameter, id, changed) {
  const { min, max, type } = parameter, span = (max ?? 0) - (min ?? 0);
  const step = type === 'number' && span <= 100 ? 0.1 : 1;
  // The one that is written in is left alone: a half-written number would lose its end.
  const write = (/** @type {HTMLInputElement} */ from, /** @type {HTMLInputElement} */ to) => {
    to.value = from.value;
    changed(from.value);
  };
  const slider = el('input', { type: 'range', min, max, step, 'aria-label': parameter.name, input: () => write(slider, exact) });
  const exact = el('input', { type: 'number', id, min, max, step: type === 'number' ? 'any' : 1, input: () => write(exact, slider) });
  return { root: el('div.range', {}, slider, exact), set: value => { slider.value = exact.value = value; } };
}

/** A number with its unit, which two buttons make smaller and larger. @param {string} id @param {Changed} changed @returns {Field} */
function measure(id, changed) {
  const input = text(id, { input: () => changed(input.value.trim()), keydown: (/** @type {KeyboardEvent} */ event) => {
    if (event.key !== 'ArrowUp' && event.key !== 'ArrowDown') return;
    event.preventDefault();
    nudge(event.key === 'ArrowUp' ? 1 : -1);
  } });
  const nudge = (/** @type {number} */ way) => {
    const [, value, unit] = /^\s*(-?[\d.]+)\s*(.*)$/.exec(input.value) ?? [];
    if (value === undefined) return;
    // A tenth of the size that the number has, so that 0.2mm goes by hundredths and 12in by whole inches.
    const step = +value > 0 ? 10 ** (Math.floor(Math.log10(+value)) - 1) : 0.1;
    input.value = `${Math.max(0, +(+value + way * step).toFixed(4))}${unit}`;
    changed(input.value);
  };
  return { root: el('div.measure', {}, input, button('−', () => nudge(-1), { label: 'smaller' }), button('+', () => nudge(1), { label: 'larger' })),
    set: value => { input.value = value; } };
}

/** @param {import('./api.js').Parameter} parameter @param {string} id @param {Changed} changed @returns {Field} */
function choice({ choices, name }, id, changed) {
  if (choices.length > 4) {
    const select = el('select', { id, change: () => changed(select.value) }, choices.map(each => el('option', { value: each }, each)));
    return { root: select, set: value => { select.value = value; } };
  }
  const inputs = choices.map(each => el('input', { type: 'radio', name: id, value: each, change: () => changed(each) }));
  return { root: el('div.choices', { role: 'radiogroup', 'aria-label': name, id }, inputs.map((input, i) => el('label', {}, input, ` ${choices[i]}`))),
    set: value => { for (const input of inputs) input.checked = input.value === value; } };
}

/** @param {string} value */
const isColor = value => /^#[\da-f]{6}$/i.test(value);

/** @param {string} id @param {Changed} changed @param {Picture} picture @returns {Field} */
function color(id, changed, picture) {
  const input = text(id, { input: () => {
    if (isColor(input.value)) well.value = input.value;
    changed(input.value.trim());
  } });
  const well = el('input', { type: 'color', 'aria-label': 'Choose a color', input: () => write(well.value) });
  const set = (/** @type {string} */ value) => {
    input.value = value;
    if (isColor(value)) well.value = value;
  };
  const write = (/** @type {string} */ value) => {
    set(value);
    changed(value);
  };
  const mains = picture.colors().slice(0, 8).map(each => {
    const main = button('', () => write(each), { label: `main color ${each}`, kind: 'main-color' });
    main.append(swatch(each));
    return main;
  });
  return { root: el('div.color', {}, well, input, el('span.mains', {}, mains, button('pick from art', () => picture.pickColor(write)))), set };
}

/** @param {string} id @param {Changed} changed @param {Picture} picture @returns {Field} */
function box(id, changed, picture) {
  const input = text(id, { input: () => changed(input.value.trim()) });
  return { root: el('div.measure', {}, input, button('draw it', () => picture.drawBox(value => {
    input.value = value;
    changed(value);
  }), { title: 'Drag a box in the picture, or type it here' })), set: value => { input.value = value; } };
}

/** @param {string} id @param {Changed} changed @param {Picture} picture @returns {Field} */
function regionNumbers(id, changed, picture) {
  const input = text(id, { input: () => write(input.value) }), toggles = el('div.toggles');
  const draw = () => {
    const numbers = numbersOf(input.value);
    fill(toggles, picture.regions().slice(0, 60).map(({ number }) => button(`${number}`, () => {
      if (!numbers.delete(number)) numbers.add(number);
      input.value = textOf(numbers);
      write(input.value);
      /** @type {HTMLElement | undefined} */ ([...toggles.querySelectorAll('button')].find(each => each.textContent === `${number}`))?.focus();
    }, { pressed: numbers.has(number), label: `region ${number}` })));
  };
  const write = (/** @type {string} */ value) => {
    draw();
    changed(value.trim());
  };
  return { root: el('div.numbers', {}, input, toggles), set: value => {
    if (input.value !== value) input.value = value;
    if (!toggles.contains(document.activeElement)) draw();
  } };
}

/**
 * A parameter's control.
 * @param {import('./api.js').Parameter} parameter @param {string} id @param {Changed} changed @param {Picture} picture @returns {Field}
 */
export function fieldFor(parameter, id, changed, picture) {
  const { type } = parameter;
  if (['levels', 'percent', 'number'].includes(type) && parameter.min !== null && parameter.max !== null) return range(parameter, id, changed);
  if (/length$|area$/.test(type)) return measure(id, changed);
  if (type === 'choice') return choice(parameter, id, changed);
  if (type === 'color') return color(id, changed, picture);
  if (type === 'box') return box(id, changed, picture);
  if (type === 'regionnumbers') return regionNumbers(id, changed, picture);
  if (type === 'flag') {
    const input = el('input', { type: 'checkbox', id, change: () => changed(`${input.checked}`) });
    return { root: input, set: value => { input.checked = value === 'true'; } };
  }
  const input = text(id, { input: () => changed(input.value) });
  return { root: input, set: value => { input.value = value; } };
}
