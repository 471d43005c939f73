// An order's questions: two pictures side by side for each, answered by one press.
import { button, el, fill } from './dom.js';
import { answersOf, boxOf } from './found.js';
import { Crop } from './paint.js';

const most = 3;

/**
 * @typedef {import('./api.js').Question} Question
 * @typedef {{question: Question, chosen: string | null | undefined, other: import('./tiles.js').Source | null,
 *   sought: boolean}} Asked chosen: undefined is open, null is what
 *   holds without an answer; other: what the answer would give, once it was sought
 */

/** @param {Question} question */
export const nameOf = question => `${question.recipe}/${question.code}/${boxOf(question)}/${question.answer}`;

export class Questions {
  /** @type {Crop[]} */ #crops = [];

  /**
   * @param {import('./tiles.js').Tiles} tiles @param {(asked: Asked, answer: string | null) => void} answer
   */
  constructor(tiles, answer) {
    this.tiles = tiles;
    this.answer = answer;
    this.root = el('section.questions', { 'aria-label': 'Questions', hidden: true });
  }

  /** @param {Asked[]} all @param {import('./tiles.js').Source} source what holds without an answer */
  show(all, source) {
    const had = document.activeElement instanceof HTMLElement && this.root.contains(document.activeElement) ? document.activeElement.dataset.answer : null;
    this.stop();
    // Open ones first, in their order; what was answered stays in sight while there is room.
    const shown = [...all.filter(asked => asked.chosen === undefined), ...all.filter(asked => asked.chosen !== undefined)].slice(0, most)
      .sort((a, b) => all.indexOf(a) - all.indexOf(b));
    this.root.hidden = all.length === 0;
    fill(this.root, shown.map(asked => this.#one(asked, source)), all.length > shown.length && el('p', {}, `${shown.length} of ${all.length} questions`));
    if (had) /** @type {HTMLElement | undefined} */ ([...this.root.querySelectorAll('button')].find(each => each.dataset.answer === had))?.focus();
  }

  stop() {
    for (const crop of this.#crops) crop.stop();
    this.#crops = [];
  }

  /** @param {Asked} asked @param {import('./tiles.js').Source} source */
  #one(asked, source) {
    const { question, chosen, other } = asked, box = boxOf(question);
    return el('fieldset.asked', {}, el('legend', {}, question.message), el('div.pair', {}, answersOf(question).map(({ words, answer }) => {
      const crop = new Crop(this.tiles, 264, 180), of = answer === null ? source : other;
      this.#crops.push(crop);
      if (of) crop.show(of, box);
      const made = button('', () => this.answer(asked, answer), { pressed: chosen === answer });
      made.dataset.answer = `${nameOf(question)} ${answer}`;
      made.append(crop.canvas, el('span', {}, words));
      return made;
    })));
  }
}
