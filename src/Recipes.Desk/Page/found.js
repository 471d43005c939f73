// What was found in the art, by harm: questions and findings, each a button that goes there; and the numbered regions.
import { button, el, fill } from './dom.js';
import { area, counted } from './words.js';

/**
 * @typedef {import('./api.js').Question} Question
 * @typedef {import('./api.js').Finding} Finding
 * @typedef {import('./api.js').Region} Region
 * @typedef {{title: string, findings: Finding[], questions: Question[], regions: Region[], chosen: (region: Region) => boolean,
 *   words: [string, string], ppi: number}} Found words: what a chosen region is, and what another
 */

/**
 * The two answers of a question, the one that holds without an answer first.
 * @param {Question} question @returns {{words: string, prints: boolean | null, answer: string | null}[]}
 */
export function answersOf({ proposal, answer }) {
  const bare = /\bbare\b/i.test(proposal), prints = /\bprint/i.test(proposal);
  const plain = bare !== prints;
  const kept = { words: plain ? (bare ? 'Stays bare' : 'Prints') : proposal, prints: plain ? prints : null, answer: null };
  return answer ? [kept, { words: plain ? (bare ? 'Prints' : 'Stays bare') : answer.replace('=', ': '), prints: plain ? bare : null, answer }] : [kept];
}

/** @param {{box: import('./api.js').Box | null, regions?: Region[]}} one @returns {import('./api.js').Box | null} */
export function boxOf({ box, regions }) {
  const boxes = box ? [box] : (regions ?? []).map(region => region.box);
  if (!boxes.length) return null;
  const x = Math.min(...boxes.map(each => each[0])), y = Math.min(...boxes.map(each => each[1]));
  return [x, y, Math.max(...boxes.map(each => each[0] + each[2])) - x, Math.max(...boxes.map(each => each[1] + each[3])) - y];
}

export class FoundPanel {
  /** @type {{id: string, box: import('./api.js').Box}[]} */ #stops = [];
  #at = -1;

  /**
   * @param {import('./viewer.js').Viewer} viewer @param {import('./marks.js').Marks} marks
   * @param {{answer: (question: Question, answer: string | null) => void, advise: (finding: Finding) => void, toggle: (region: Region) => void}} acts
   */
  constructor(viewer, marks, acts) {
    this.viewer = viewer;
    this.marks = marks;
    this.acts = acts;
    this.list = el('ol.found');
    this.regions = el('div.regions');
    this.title = el('summary', {}, 'To look at');
    this.regionTitle = el('summary', {}, 'Numbered regions');
    this.root = el('details.more', { open: true }, this.title, this.list);
    this.regionRoot = el('details.more', { open: true }, this.regionTitle,
      el('p.help', {}, 'A press switches a region.'), this.regions);
  }

  /** @param {Found} found */
  show(found) {
    const { questions, findings, regions, ppi } = found;
    const counts = [questions.length && counted(questions.length, 'question'), findings.length && counted(findings.length, 'finding')].filter(Boolean);
    this.title.textContent = counts.length ? `${found.title}: ${counts.join(', ')}` : 'Nothing to look at';
    /** @type {import('./marks.js').Mark[]} */
    const marks = [];
    this.#stops = [];
    const row = (/** @type {'question' | 'finding'} */ kind, /** @type {number} */ i, /** @type {Question | Finding} */ one, /** @type {Node[]} */ ...more) => {
      const id = `${kind}${i}`, box = boxOf(one), text = `${kind === 'question' ? '?' : '!'}${i + 1}`;
      const go = () => this.#go(id, box);
      if (box) {
        marks.push({ id, kind, text, label: `${text} ${one.message}`, box, act: go });
        this.#stops.push({ id, box });
      }
      return el('li', {}, el('button.goes', { type: 'button', click: go }, el('span.badge', { 'aria-hidden': 'true' }, text), ` ${one.message}`,
        'pixels' in one && one.pixels ? el('small', {}, ` ${area(one.pixels, ppi)}`) : null), more);
    };
    fill(this.list, questions.map((one, i) => row('question', i, one, el('div.row', {}, answersOf(one).map(({ words, answer }) =>
      button(words, () => this.acts.answer(one, answer)))))), findings.map((one, i) => row('finding', i, one,
      ...(one.recipe ? [el('div.row', {}, button(`try ${one.recipe}${one.set ? ` ${one.set}` : ''}`, () => this.acts.advise(one)))] : []))));
    this.#showRegions(found, marks);
    this.marks.set(marks);
    this.#at = -1;
    this.regionTitle.textContent = counted(regions.length, 'numbered region');
    this.regionRoot.hidden = regions.length === 0;
  }

  /** Goes to the next one, or the one before. @param {number} way */
  next(way) {
    if (!this.#stops.length) return;
    this.#at = (this.#at + way + this.#stops.length + (this.#at < 0 && way < 0 ? 1 : 0)) % this.#stops.length;
    const { id, box } = this.#stops[this.#at];
    this.#go(id, box);
  }

  /** @param {Found} found @param {import('./marks.js').Mark[]} marks */
  #showRegions({ regions, chosen, words, ppi }, marks) {
    const focused = document.activeElement instanceof HTMLElement ? document.activeElement.dataset.region : undefined;
    fill(this.regions, regions.slice(0, 200).map(region => {
      const on = chosen(region), is = words[on ? 0 : 1], label = `${region.number}: ${is}, ${area(region.pixels, ppi)}`;
      marks.push({ id: `region${region.number}`, kind: 'region', text: `${region.number}`, label, box: region.box, pressed: on,
        act: () => this.acts.toggle(region) });
      const made = el('button', { type: 'button', 'aria-pressed': `${on}`, 'data-region': region.number, title: label, click: () => this.acts.toggle(region) },
        `${region.number} `, el('small', {}, is));
      made.addEventListener('focus', () => this.marks.select(`region${region.number}`));
      return made;
    }), regions.length > 200 && el('p', {}, `and ${regions.length - 200} more, by number in the form`));
    if (focused) /** @type {HTMLElement | null} */ (this.regions.querySelector(`[data-region="${focused}"]`))?.focus();
  }

  /** @param {string} id @param {import('./api.js').Box | null} box */
  #go(id, box) {
    if (!box) return;
    this.marks.select(id);
    this.viewer.go(box);
  }
}
