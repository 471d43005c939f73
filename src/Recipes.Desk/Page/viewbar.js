// The row of words above the picture: what is shown, how it is compared, and how near.
import { button, el } from './dom.js';
import { calm } from './viewer.js';

/** @typedef {import('./viewer.js').Viewer} Viewer */

/** @type {[string, string, string][]} */
const pictures = [['cloth', 'On cloth', 'Simulated on the cloth of the garment'], ['raw', 'Art alone', 'The art with what is transparent'],
  ['bare', 'Stays bare', 'What prints in gray, what stays bare by reason'], ['difference', 'Difference', 'What this try changes']];
/** @type {[import('./viewer.js').Mode, string, string][]} */
const modes = [['after', 'After', 'What is tried, or kept'], ['before', 'Before', 'What it began with; hold B in the picture for a moment of it'],
  ['divider', 'Divided', 'Before on the left, after on the right'], ['blink', 'Blink', 'Before and after, once a second'],
  ['side', 'Side by side', 'Before on the left, after on the right, moved together']];

export class ViewBar {
  #viewer;
  /** @type {{made: HTMLButtonElement, sync: (made: HTMLButtonElement) => void}[]} */ #buttons = [];

  /**
   * @param {Viewer} viewer
   * @param {{loupe?: import('./loupe.js').Loupe, nextDifference?: (way: number) => void, nextFinding?: (way: number) => void}} [more] for the bench
   */
  constructor(viewer, more) {
    this.#viewer = viewer;
    this.scale = el('output', { 'aria-label': 'Size on screen' });
    const near = this.#group('Size and place', button('−', () => viewer.zoom(Math.SQRT1_2), { label: 'smaller' }), this.scale,
      button('+', () => viewer.zoom(Math.SQRT2), { label: 'larger' }), button('Fit', () => viewer.fit()),
      button('1:1', () => viewer.trueSize(), { title: 'One pixel of the art is one of the screen' }),
      button('◂', () => viewer.pan(-120, 0), { label: 'look left' }), button('▸', () => viewer.pan(120, 0), { label: 'look right' }),
      button('▴', () => viewer.pan(0, -120), { label: 'look up' }), button('▾', () => viewer.pan(0, 120), { label: 'look down' }));
    this.root = el('div.bar', { role: 'toolbar', 'aria-label': 'The picture' }, more ? this.#choices() : null, near, more && this.#jumps(more));
    this.sync();
  }

  /** Says what is on and what can be chosen. */
  sync() {
    for (const { made, sync } of this.#buttons) sync(made);
    const share = this.#viewer.place.scale * 100;
    this.scale.textContent = `${share >= 10 ? Math.round(share) : share.toFixed(1)} %`;
  }

  #choices() {
    const viewer = this.#viewer;
    return [this.#group('Picture', ...pictures.map(([name, words, title]) => this.#switch(words, title, () => viewer.choose(name), made => {
      made.setAttribute('aria-pressed', `${viewer.picture === name}`);
      made.disabled = name === 'difference' && !viewer.after?.changed?.length;
    }))), this.#group('Compared', ...modes.map(([mode, words, title]) => this.#switch(words, title, () => viewer.compare(mode), made => {
      const { before, after } = viewer, overlays = before && after && before.width === after.width && before.height === after.height;
      made.setAttribute('aria-pressed', `${viewer.mode === mode}`);
      made.disabled = mode !== 'after' && (viewer.picture === 'difference' || !before || (!overlays && mode !== 'side') || (mode === 'blink' && calm.matches));
      made.title = mode === 'blink' && calm.matches ? 'Your system asks for little motion; hold B in the picture instead' : title;
    })))];
  }

  /** @param {{loupe?: import('./loupe.js').Loupe, nextDifference?: (way: number) => void, nextFinding?: (way: number) => void}} more */
  #jumps({ loupe, nextDifference, nextFinding }) {
    const steps = (/** @type {string} */ what, /** @type {((way: number) => void) | undefined} */ go) => go && this.#group(what,
      button('‹', () => go(-1), { label: `previous ${what}` }), el('span', {}, what), button('›', () => go(1), { label: `next ${what}` }));
    return [loupe && this.#group('Loupe', this.#switch('Loupe', 'Exact values; arrow keys move the cross, Shift and arrow keys the picture', () => {
      loupe.turn(!loupe.on);
      this.sync();
    }, made => made.setAttribute('aria-pressed', `${loupe.on}`))), steps('finding', nextFinding), steps('difference', nextDifference)];
  }

  /** @param {string} words @param {string} title @param {() => void} act @param {(made: HTMLButtonElement) => void} sync */
  #switch(words, title, act, sync) {
    const made = button(words, act, { title });
    this.#buttons.push({ made, sync });
    return made;
  }

  /** @param {string} label @param {...Node} children */
  #group = (label, ...children) => el('div.group', { role: 'group', 'aria-label': label }, children);
}
