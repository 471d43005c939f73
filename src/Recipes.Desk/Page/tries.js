// Tries as knobs turn: the latest wins, and what is shown meanwhile stays, marked as out of date.
import { artPath, lines, problemsOf, wasAborted } from './api.js';

const pause = 60, patience = 300;

/** One of a kind for each tab, so that tabs don't take each other's turn. */
export const tab = crypto.randomUUID();

/** Counts this tab's tries: what was asked last counts as the latest, in whatever order it comes. */
let turns = 0;

/** @typedef {{of: string, recipe: string, values: Record<string, string>, guards?: Record<string, string>}} Asked */

/**
 * One try to its end.
 * @param {string} art @param {Asked & {tab: string}} asked @param {AbortSignal} signal
 * @param {(phase: string) => void} [phased]
 * @returns {Promise<{tried?: import('./api.js').Tried, problems?: import('./api.js').Problem[]}>} neither where a later one took its place
 */
export async function tryOnce(art, asked, signal, phased = () => {}) {
  for await (const line of lines(artPath(art, 'try'), { guards: {}, ...asked, turn: ++turns }, signal)) {
    if (line.phase === 'judged') return { tried: line.try };
    if (line.phase === 'failed') return { problems: line.problems };
    if (line.phase === 'replaced') return {};
    phased(line.phase);
  }
  return { problems: [{ code: '', severity: 'error', message: 'The try ended without a word.', hint: 'Try again.' }] };
}

export class Tries {
  #timer = 0; #slow = 0;
  /** @type {AbortController | null} */ #running = null;

  /**
   * @param {{stale: () => void, slow: (phase: string) => void, judged: (tried: import('./api.js').Tried) => void,
   *   failed: (problems: import('./api.js').Problem[]) => void, cancelled: () => void}} told
   */
  constructor(told) {
    this.told = told;
  }

  /** @param {string} art @param {Asked} asked @param {boolean} [atOnce] */
  ask(art, asked, atOnce = false) {
    this.told.stale();
    clearTimeout(this.#timer);
    this.#timer = window.setTimeout(() => void this.#run(art, asked), atOnce ? 0 : pause);
  }

  /** Ends what runs or is about to. */
  cancel() {
    const had = this.#running !== null;
    this.drop();
    if (had) this.told.cancelled();
  }

  drop() {
    clearTimeout(this.#timer);
    clearTimeout(this.#slow);
    this.#running?.abort();
    this.#running = null;
  }

  /** @param {string} art @param {Asked} asked */
  async #run(art, asked) {
    this.drop();
    const running = this.#running = new AbortController();
    let phase = 'waiting', slow = false;
    this.#slow = window.setTimeout(() => {
      slow = true;
      this.told.slow(phase);
    }, patience);
    try {
      const { tried, problems } = await tryOnce(art, { ...asked, tab }, running.signal, now => {
        phase = now;
        if (slow) this.told.slow(phase);
      });
      if (this.#running !== running) return;
      this.#end();
      if (tried) this.told.judged(tried);
      else if (problems) this.told.failed(problems);
      else this.told.cancelled();
    } catch (error) {
      if (this.#running !== running || wasAborted(error)) return;
      this.#end();
      this.told.failed(problemsOf(error));
    }
  }

  #end() {
    clearTimeout(this.#slow);
    this.#running = null;
  }
}
