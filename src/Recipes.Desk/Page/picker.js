// The recipes, found by a word.
import { button, el, fill } from './dom.js';

export class RecipePicker {
  /** @param {import('./api.js').Shop['recipes']} recipes @param {(name: string) => void} choose */
  constructor(recipes, choose) {
    this.recipes = recipes;
    this.choose = choose;
    this.search = el('input', { type: 'search', id: 'recipe-search', autocomplete: 'off', placeholder: 'white, halo, size …', input: () => this.#draw() });
    this.list = el('ul.picks');
    this.open = el('div', {}, el('label', { for: 'recipe-search' }, 'Find a recipe'), this.search, this.list);
    this.title = el('h3');
    this.purpose = el('p.help');
    this.chosen = el('div', { hidden: true }, el('div.row', {}, this.title, button('another recipe', () => this.show(null))), this.purpose);
    this.root = el('section', {}, el('h2', {}, 'Recipe'), this.chosen, this.open);
    this.#draw();
  }

  /** @param {import('./api.js').Recipe | null} recipe the chosen one, or null to choose */
  show(recipe) {
    this.open.hidden = recipe !== null;
    this.chosen.hidden = recipe === null;
    this.title.textContent = recipe?.title || (recipe?.name ?? '');
    this.purpose.textContent = recipe?.purpose ?? '';
    if (!recipe) this.search.focus();
  }

  #draw() {
    const words = this.search.value.toLowerCase().split(/\s+/).filter(Boolean);
    const found = this.recipes.filter(recipe => words.every(word => `${recipe.name} ${recipe.title} ${recipe.purpose ?? ''}`.toLowerCase().includes(word)));
    fill(this.list, found.map(recipe => el('li', {}, el('button.pick', { type: 'button', click: () => this.choose(recipe.name) },
      el('strong', {}, recipe.title || recipe.name), el('small', {}, recipe.list ? `${recipe.name}, a list` : recipe.name)))),
      found.length === 0 && el('li', {}, 'No recipe has these words.'));
  }
}
