// The page: who may come in, which screen the address names, files that are dropped, and who works.
import { enter, get, hasKey, isOld, onLost, post, problemsOf, put } from './api.js';
import { Arts } from './arts.js';
import { Bench } from './bench.js';
import { ask, button, el, fill, problemList, say } from './dom.js';
import { Orders } from './orders.js';
import { Tiles } from './tiles.js';
import { size } from './words.js';

/** @typedef {{art: string, setup: string | null, recipe: string | null, values: Record<string, string>, order: string | null}} Address */

const mostTiles = 2500, largest = 900e6, byName = 'desk.by';
const screen = /** @type {HTMLElement} */ (document.getElementById('screen'));

const reported = (/** @type {unknown} */ error) => fill(screen,
  el('div.shelf', { role: 'alert' }, problemList(problemsOf(error)), button('Try again', () => location.reload())));

export class Desk {
  /** @type {{stop: () => void, again?: () => boolean} | null} */ #shown = null;
  #turn = 0;
  /** Orders that were finished here, so that the next one is another even before the list says so. @type {Set<string>} */ skipped = new Set();

  /** @param {import('./api.js').Shop} shop */
  constructor(shop) {
    this.shop = shop;
    this.tiles = new Tiles(mostTiles, error => {
      const problems = problemsOf(error);
      if (!(isOld(problems) && this.#shown?.again?.())) say(problems.map(problem => problem.message).join(' '));
    });
    addEventListener('hashchange', () => void this.#moved());
    this.#takeDrops();
    this.#drawWho();
  }

  // A fresh link that is opened in this tab leaves no code in the address.
  async #moved() {
    const code = takeCode();
    if (code !== null) await enter(code).catch(error => say(problemsOf(error).map(problem => problem.message).join(' ')));
    await this.show();
  }

  /** Shows what the address names. */
  async show() {
    const asked = new URLSearchParams(location.hash.slice(1)), turn = ++this.#turn;
    this.#shown?.stop();
    this.#shown = null;
    fill(screen, el('p.wait', {}, 'One moment …'));
    screen.focus();
    this.#drawScreens(asked.has('art') ? 'art' : asked.has('arts') ? 'arts' : 'orders');
    try {
      const bare = asked.has('arts') || (asked.has('art') && !asked.has('order'));
      /** @type {import('./api.js').Order[]} */
      const orders = bare ? [] : (await get('/api/orders')).orders;
      if (turn !== this.#turn) return;
      const shown = this.#screenFor(asked, orders);
      this.#shown = shown;
      fill(screen, shown.root);
      await shown.open();
    } catch (error) {
      if (turn === this.#turn) reported(error);
    }
    // Whoever pressed something meanwhile stays there.
    if (turn === this.#turn && (document.activeElement === screen || document.activeElement === document.body)) screen.querySelector('h1')?.focus();
  }

  /** @param {URLSearchParams} asked @param {import('./api.js').Order[]} orders */
  #screenFor(asked, orders) {
    const art = asked.get('art'), named = asked.get('order'), order = orders.find(each => each.id === named) ?? null;
    if (!art && orders.length) return new Orders(this, orders, order);
    if (!art) {
      this.#drawScreens('arts');
      return new Arts(this);
    }
    const values = Object.fromEntries([...asked].filter(([name]) => name.startsWith('v.')).map(([name, value]) => [name.slice(2), value]));
    return new Bench(this, { art, setup: asked.get('setup'), recipe: asked.get('recipe'), values, order });
  }

  /** Goes to an art. @param {Address} to */
  go(to) {
    location.hash = textOf(to);
  }

  /** Writes the form into the address without going there: a reload after a crash restores it. @param {Address} at */
  address(at) {
    history.replaceState(null, '', `#${textOf(at)}`);
  }

  /** An order is finished: the next one. @param {string} id */
  finished(id) {
    this.skipped.add(id);
    say('Finished: exported, and the ticket is written.');
    if (location.hash === '') void this.show();
    else location.hash = '';
  }

  /** What a ticket says of an order. @param {import('./api.js').Order | null} order @returns {import('./api.js').Ticket} */
  ticketOf(order) {
    const said = order ? { order: order.order, quantity: order.quantity, garment: order.garment, sizes: order.sizes, place: order.place } : {};
    return Object.fromEntries(Object.entries(said).filter(([, value]) => value !== null && value !== '').map(([name, value]) => [name, `${value}`]));
  }

  /** Who works at this tab: asked once. @returns {Promise<string | null>} null where nobody said */
  async who() {
    const known = sessionStorage.getItem(byName);
    if (known) return known;
    const by = await ask('Who works here?', 'Your name or initials, as steps and tickets will say it', this.shop.by ?? '', 'Go on');
    if (by) sessionStorage.setItem(byName, by);
    this.#drawWho();
    return by;
  }

  #drawWho() {
    const by = sessionStorage.getItem(byName);
    fill(/** @type {HTMLElement} */ (document.getElementById('who')), by && el('span', {}, `${by} works here`), by && button('someone else', () => {
      sessionStorage.removeItem(byName);
      void this.who();
    }), button('Open another tab', () => void this.#anotherTab()));
  }

  async #anotherTab() {
    try {
      const { code } = await post('/api/code', {});
      open(`/#code=${encodeURIComponent(code)}`, '_blank', 'noopener');
    } catch (error) {
      say(problemsOf(error).map(problem => problem.message).join(' '));
    }
  }

  /** @param {string} now */
  #drawScreens(now) {
    const to = (/** @type {string} */ name, /** @type {string} */ words, /** @type {string} */ hash) =>
      el('a', { href: hash, 'aria-current': now === name ? 'page' : null }, words);
    fill(/** @type {HTMLElement} */ (document.getElementById('screens')), el('span.name', {}, 'Desk'),
      to('orders', 'Next order', '#'), to('arts', 'Open an art', '#arts'),
      now === 'art' && el('span.now', { 'aria-current': 'page' }, 'The bench'));
  }

  #takeDrops() {
    addEventListener('dragover', event => {
      event.preventDefault();
      document.body.classList.add('dropping');
    });
    addEventListener('dragleave', event => { if (!event.relatedTarget) document.body.classList.remove('dropping'); });
    addEventListener('drop', event => {
      event.preventDefault();
      document.body.classList.remove('dropping');
      const file = event.dataTransfer?.files[0];
      if (file) void this.take(file);
    });
  }

  /** Puts a file into the first folder and opens it. @param {File} file */
  async take(file) {
    if (file.size > largest) {
      say(`${file.name} is larger than ${size(largest)}.`);
      return;
    }
    say(`Taking ${file.name} …`);
    try {
      const { id } = await put(`/api/arts/${encodeURIComponent(this.shop.folders[0].id)}/${encodeURIComponent(file.name)}`, file);
      say(`${file.name} is in the folder.`);
      this.go({ art: id, setup: null, recipe: null, values: {}, order: null });
    } catch (error) {
      say(problemsOf(error).map(problem => `${problem.message} ${problem.hint ?? ''}`).join(' '));
    }
  }
}

/** @param {Address} address */
function textOf({ art, setup, recipe, values, order }) {
  const said = new URLSearchParams({ art });
  for (const [name, value] of Object.entries({ setup, recipe, order })) if (value) said.set(name, value);
  for (const [name, value] of Object.entries(values)) said.set(`v.${name}`, value);
  return `${said}`;
}

/** Takes the code out of the address, so that nobody reads it there. @returns {string | null} */
function takeCode() {
  const asked = new URLSearchParams(location.hash.slice(1)), code = asked.get('code');
  if (code === null) return null;
  asked.delete('code');
  history.replaceState(null, '', `${location.pathname}${asked.size ? `#${asked}` : ''}`);
  return code;
}

/** @param {import('./api.js').Problem[]} [problems] why the link that was given opens nothing */
function askForLink(problems = []) {
  const input = el('input', { type: 'text', id: 'link', autocomplete: 'off' });
  const said = el('div', { role: 'alert' }, problems.length > 0 && problemList(problems));
  fill(screen, el('form.shelf', { submit: async (/** @type {Event} */ event) => {
    event.preventDefault();
    try {
      await enter(/code=([\w-]+)/.exec(input.value)?.[1] ?? input.value.trim());
      await start();
    } catch (error) {
      fill(said, problemList(problemsOf(error)));
    }
  } }, el('h1', {}, 'This page has lost its key'), el('p', {}, "Start it again from the desk's window, or paste a link that the desk gave."),
    el('label', { for: 'link' }, 'Link'), input, el('p.row', {}, el('button.main', {}, 'Go on')), said));
  input.focus();
}

let started = false;

async function start() {
  const shop = await get('/api/shop');
  if (started) {
    location.reload();
    return;
  }
  started = true;
  await new Desk(shop).show();
}

async function main() {
  onLost(() => askForLink());
  try {
    const code = takeCode();
    if (code !== null) await enter(code);
    if (hasKey()) await start();
    else askForLink();
  } catch (error) {
    if (screen.querySelector('#link')) return;
    if (hasKey()) reported(error);
    else askForLink(problemsOf(error));
  }
}

void main();
