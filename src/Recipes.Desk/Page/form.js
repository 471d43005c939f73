// A recipe's values: a form from its schema, with a history of its own and favorites by name.
import { ask, button, el, fill, say } from './dom.js';
import { fieldFor } from './fields.js';
import { answered, chosenNow, namedFor, switched } from './regions.js';

/** @typedef {Record<string, string>} Values only what differs from the recipe's own */

/** @param {string} recipe @returns {Record<string, Values>} */
function favoritesOf(recipe) {
  try {
    return JSON.parse(localStorage.getItem(`desk.favorites.${recipe}`) ?? '{}');
  } catch {
    return {};
  }
}

export class Form {
  /** @type {Values} */ values = {};
  /** @type {Values[]} */ #undone = [];
  /** @type {Values[]} */ #past = [];
  /** @type {{name: string, at: number}} */ #last = { name: '', at: 0 };
  /** @type {Map<string, {field: import('./fields.js').Field, standard: string}>} */ #fields = new Map();
  #changed;

  /**
   * @param {import('./api.js').Recipe} recipe @param {Values} values @param {import('./fields.js').Picture} picture
   * @param {(values: Values) => void} changed
   */
  constructor(recipe, values, picture, changed) {
    this.recipe = recipe;
    this.#changed = changed;
    const parts = recipe.parts.map(part => this.#part(part, picture));
    this.undoButton = button('Undo', () => this.undo(), { title: 'The value before (Ctrl+Z)' });
    this.redoButton = button('Redo', () => this.redo(), { title: 'Ctrl+Y' });
    this.favorites = el('select', { 'aria-label': 'Favorite values', change: () => this.#chooseFavorite() });
    const listens = { submit: (/** @type {Event} */ event) => event.preventDefault(), keydown: (/** @type {KeyboardEvent} */ event) => this.#key(event) };
    this.root = el('form.values', listens, parts, el('div.row', {}, this.undoButton, this.redoButton, button('As the recipe has them', () => this.set({}))),
      el('div.row', {}, this.favorites, button('Save as favorite', () => void this.#saveFavorite())));
    this.values = this.#known(values);
    this.#drawFavorites();
    this.#draw();
  }

  /** True where it is a recipe's form, or that of a list with it. @param {string} recipe */
  runs(recipe) {
    return this.recipe.parts.some(part => part.name === recipe);
  }

  /** True where a parameter takes numbered regions. */
  get hasRegions() {
    return this.#regions !== undefined;
  }

  /** Whether a region is chosen by what stands in the form. @param {import('./api.js').Region} region */
  chooses(region) {
    return this.#regions ? chosenNow(this.values, this.#regions.named, region) : region.chosen;
  }

  /** @param {import('./api.js').Region} region */
  switchRegion(region) {
    if (this.#regions) this.set(switched(this.values, this.#regions.named, this.#regions.has, region));
  }

  /** Adds values of one of its recipes, such as `also=8`. @param {string} recipe @param {string[]} sets */
  add(recipe, sets) {
    const named = namedFor(this.recipe.list, recipe);
    this.set(sets.filter(set => set.includes('=')).reduce((values, set) => answered(values, set, named), this.values));
  }

  /** The parameters that take regions: of a list those of the recipe that decides which whites print, where it has that. */
  get #regions() {
    const named = (/** @type {string} */ name) => namedFor(this.recipe.list, name);
    const parts = this.recipe.parts.map(({ name, parameters }) => ({ name, named: named(name),
      has: new Set(parameters.filter(({ type }) => type === 'regionnumbers').map(parameter => parameter.name)) })).filter(({ has }) => has.size > 0);
    return parts.find(({ name }) => name === 'printable-whites') ?? parts[0];
  }

  /** @param {Values} values */
  set(values) {
    this.#past.push(this.values);
    this.#undone = [];
    this.#last = { name: '', at: 0 };
    this.#take(values);
  }

  undo() {
    const before = this.#past.pop();
    if (!before) return;
    this.#undone.push(this.values);
    this.#take(before);
  }

  redo() {
    const next = this.#undone.pop();
    if (!next) return;
    this.#past.push(this.values);
    this.#take(next);
  }

  /** Draws it anew where regions changed, but for a field in which somebody writes. */
  refresh() {
    this.#draw(({ root }) => !root.contains(document.activeElement));
  }

  /** @param {Values} values */
  #take(values) {
    this.values = this.#known(values);
    this.#draw();
    this.#changed(this.values);
  }

  // What isn't a parameter, or is as the recipe has it, is no value of the form.
  /** @param {Values} values */
  #known = values => Object.fromEntries(Object.entries(values).filter(([name, value]) => {
    const field = this.#fields.get(name);
    return field && field.standard !== value;
  }));

  /** @param {string} name @param {string} value */
  #edit(name, value) {
    const now = performance.now();
    // One drag of a slider is one step back.
    if (this.#last.name !== name || now - this.#last.at > 800) this.#past.push(this.values);
    this.#last = { name, at: now };
    this.#undone = [];
    this.values = this.#known({ ...this.values, [name]: value });
    this.#drawHistory();
    this.#changed(this.values);
  }

  #draw(which = (/** @type {import('./fields.js').Field} */ _) => true) {
    for (const [name, { field, standard }] of this.#fields) if (which(field)) field.set(this.values[name] ?? standard);
    this.#drawHistory();
  }

  #drawHistory() {
    this.undoButton.disabled = this.#past.length === 0;
    this.redoButton.disabled = this.#undone.length === 0;
  }

  /** @param {{name: string, sets: string[], parameters: import('./api.js').Parameter[]}} part @param {import('./fields.js').Picture} picture */
  #part(part, picture) {
    const sets = Object.fromEntries(part.sets.map(set => [set.slice(0, set.indexOf('=')), set.slice(set.indexOf('=') + 1)]));
    const named = namedFor(this.recipe.list, part.name);
    const rows = part.parameters.map(parameter => {
      const name = named(parameter.name), id = `v-${name.replaceAll(/[^\w-]/g, '-')}`;
      const field = fieldFor(parameter, id, value => this.#edit(name, value), picture);
      this.#fields.set(name, { field, standard: sets[parameter.name] ?? parameter.default ?? '' });
      if (parameter.help) field.root.setAttribute('aria-describedby', `${id}-help`);
      return el('div.field', {}, el('label', { for: id }, parameter.name.replaceAll('-', ' ')), field.root,
        parameter.help && el('p.help', { id: `${id}-help` }, parameter.help));
    });
    return this.recipe.list ? el('details', {}, el('summary', {}, part.name.replaceAll('-', ' ')), rows) : el('div', {}, rows);
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    if (!(event.ctrlKey || event.metaKey)) return;
    const key = event.key.toLowerCase();
    if (key !== 'z' && key !== 'y') return;
    event.preventDefault();
    if (key === 'y' || event.shiftKey) this.redo();
    else this.undo();
  }

  #drawFavorites() {
    const names = Object.keys(favoritesOf(this.recipe.name)).sort();
    fill(this.favorites, el('option', { value: '' }, names.length ? 'Favorites …' : 'No favorites yet'),
      names.map(name => el('option', { value: name }, name)));
    this.favorites.disabled = names.length === 0;
  }

  #chooseFavorite() {
    const chosen = favoritesOf(this.recipe.name)[this.favorites.value];
    if (chosen) this.set(chosen);
  }

  async #saveFavorite() {
    const name = await ask('Save these values', 'Their name', '', 'Save');
    if (!name) return;
    localStorage.setItem(`desk.favorites.${this.recipe.name}`, JSON.stringify({ ...favoritesOf(this.recipe.name), [name]: this.values }));
    this.#drawFavorites();
    say(`Saved as ${name}.`);
  }
}
