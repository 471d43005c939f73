// What an art is and what it goes on, at the top of the column of knobs.
import { button, el, swatch } from './dom.js';
import { number, orderName, printed, setupWords } from './words.js';

/**
 * @param {import('./api.js').ArtState} state @param {import('./api.js').Setup[]} setups @param {import('./api.js').Order | null} order
 * @param {(setup: string) => void} choose
 */
export function headOf(state, setups, order, choose) {
  const { art, setup } = state, ppi = state.printPpi || art.ppi;
  const select = el('select', { id: 'setup', change: () => choose(select.value) },
    setups.map(each => el('option', { value: each.name, selected: each.name === setup.name }, each.name)));
  return [
    order && el('p.order', {}, `Order ${orderName(order)}`),
    el('h1', { tabindex: -1 }, art.name),
    el('p.help', {}, `${number(art.width)} × ${number(art.height)} px, prints ${printed(art.width, art.height, ppi)} at ${number(ppi)} px an inch. `,
      art.notes.join(' ')),
    el('div.field', {}, el('label', { for: 'setup' }, 'Garment setup'), el('div.row', {}, swatch(setup.garment), select)),
    el('p.help', {}, `${setupWords(setup)}.`),
    state.setupIsFallback && el('p.why', {}, 'Nobody chose this setup yet. ', button('Yes, this one', () => choose(setup.name))),
  ];
}
