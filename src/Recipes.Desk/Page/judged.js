// What a try would change, in words, and Keep.
import { button, el, fill, problemList, say, sure } from './dom.js';
import { changes, guardWords } from './words.js';

export class JudgedPanel {
  /**
   * @param {{keep: (again: boolean) => void, cancel: () => void, drop: () => void, guard: (name: string, policy: string | null) => void}} acts
   *   `guard` changes what a guardrail does for this form; null is what it usually does
   */
  constructor(acts) {
    this.acts = acts;
    this.words = el('div.said');
    this.keepButton = button('Keep', () => acts.keep(false), { kind: 'main' });
    this.dropButton = button('Put the try away', () => acts.drop());
    this.cancelButton = button('Cancel', () => acts.cancel());
    this.root = el('section.judged', { 'aria-label': 'The try' }, this.words, el('div.row', {}, this.keepButton, this.dropButton, this.cancelButton));
  }

  /** @param {boolean} keep @param {boolean} drop @param {boolean} cancel */
  #can(keep, drop, cancel) {
    this.keepButton.disabled = !keep;
    this.dropButton.hidden = !drop;
    this.cancelButton.hidden = !cancel;
  }

  /** @param {string} words */
  nothing(words) {
    this.root.classList.remove('stale');
    fill(this.words, el('p', {}, words));
    this.#can(false, false, false);
  }

  cancelled() {
    this.nothing('Cancelled. Turn a knob to try again.');
    say('Cancelled.');
  }

  stale() {
    this.keepButton.disabled = true;
    this.root.classList.add('stale');
  }

  /** @param {string} phase */
  slow(phase) {
    const words = phase === 'running' ? 'Trying …' : 'Waiting for its turn …';
    fill(this.words, el('p', {}, words, ' ', el('progress', { 'aria-label': words })));
    this.#can(false, false, true);
    say(words);
  }

  /** @param {import('./api.js').Problem[]} problems @param {HTMLElement | null} [way] a button that helps */
  failed(problems, way = null) {
    this.root.classList.remove('stale');
    // A value that isn't there yet is no mistake.
    const missing = problems.every(problem => problem.code === 'R1011');
    fill(this.words, missing ? problems.map(problem => el('p', {}, problem.message)) : problemList(problems), way);
    this.#can(false, true, false);
    say(problems.map(problem => problem.message).join(' '));
  }

  /** @param {import('./api.js').Guard} guard */
  #guardButton(guard) {
    if (guard.outcome === 'allowed') return button("Don't allow it", () => this.acts.guard(guard.name, null));
    return guard.outcome === 'refused' || guard.outcome === 'protected' ? button('Allow it …', () => void this.#allow(guard)) : null;
  }

  /** @param {import('./api.js').Guard} guard */
  async #allow({ name, why }) {
    const words = `The guardrail “${name.replaceAll('-', ' ')}” watches for this. ${why ?? ''} Allowed, it only reports until you choose another recipe.`;
    if (await sure('Allow it?', words, 'Allow it')) this.acts.guard(name, 'allow');
  }

  /** @param {import('./api.js').Tried} tried @param {number} ppi */
  judged(tried, ppi) {
    const { report, refusal, repeat } = tried, sentence = changes(tried, ppi);
    const tripped = report.guards.filter(guard => guard.outcome !== 'clear'), guards = tripped.map(guard => guardWords(guard, ppi));
    this.root.classList.remove('stale');
    const notes = report.notes ?? [];
    fill(this.words, el('p.sentence', {}, sentence),
      tripped.length > 0 && el('ul', {}, tripped.map((guard, i) => el('li', {}, guards[i], ' ', this.#guardButton(guard)))),
      notes.length > 0 && el('details', {}, el('summary', {}, notes.length === 1 ? 'A note of the recipe' : `${notes.length} notes of the recipe`),
        el('ul.notes', {}, notes.map(note => el('li', {}, note)))),
      tried.nothing && !refusal && el('p', {}, 'There is nothing to keep.'),
      refusal && problemList([refusal]), refusal && el('p', {}, "This can't be kept."),
      repeat && !refusal && el('p.repeat', {}, `${repeat.message} `, button('Keep it once more', () => this.acts.keep(true))));
    this.#can(!refusal && !repeat && !tried.nothing, true, false);
    say([sentence, ...guards, refusal?.message, repeat?.message].filter(Boolean).join(' '));
  }
}
