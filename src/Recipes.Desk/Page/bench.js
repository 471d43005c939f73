// The bench: one art, its recipes' knobs, and what each turn would change.
import { artPath, isOld, post, problemsOf, recipe as fetchRecipe } from './api.js';
import { Differences } from './differences.js';
import { button, el, fill, problemList, say } from './dom.js';
import { FoundPanel } from './found.js';
import { Form } from './form.js';
import { headOf } from './head.js';
import { JudgedPanel } from './judged.js';
import { Loupe } from './loupe.js';
import { Marks } from './marks.js';
import { drawBox, pickColor } from './pick.js';
import { RecipePicker } from './picker.js';
import { RecordPanel } from './record.js';
import { regionsOf } from './regions.js';
import { sameSource, triedSource } from './tiles.js';
import { Tries } from './tries.js';
import { ViewBar } from './viewbar.js';
import { Viewer } from './viewer.js';
import { keys, simulated } from './words.js';

/**
 * @typedef {import('./api.js').ArtState} ArtState @typedef {import('./api.js').Tried} Tried @typedef {import('./tiles.js').Source} Source
 * @typedef {import('./api.js').Problem} Problem @typedef {Record<string, string>} Values
 * @typedef {{art: string, setup: string | null, recipe: string | null, values: Values, order: import('./api.js').Order | null}} Asked what the address says
 */

const whites = 'printable-whites', soon = 5000;

export class Bench {
  /** @type {ArtState | null} */ #state = null;
  /** @type {Source | null} */ #source = null;
  /** What came before any step, to compare with where nothing is tried. @type {Source | null} */ #original = null;
  /** @type {{tried: Tried, source: Source} | null} */ #try = null;
  /** @type {Form | null} */ #form = null;
  /** What guardrails do otherwise than usual, for the open form only. @type {Values} */ #guards = {};
  /** A region that was pressed before there was a form. @type {number | null} */ #wished = null;
  #fills = 0;
  #reopened = -soon; #stopped = false;

  /** @param {import('./desk.js').Desk} desk @param {Asked} asked */
  constructor(desk, asked) {
    this.desk = desk;
    this.asked = asked;
    this.viewer = new Viewer(desk.tiles, 'bench', { moved: () => this.#moved(), pointed: () => this.loupe.draw(), shown: () => this.bar.sync() });
    this.loupe = new Loupe(desk.tiles, this.viewer);
    this.marks = new Marks(this.viewer);
    this.differences = new Differences(this.viewer);
    this.bar = new ViewBar(this.viewer, { loupe: this.loupe, nextFinding: way => this.found.next(way), nextDifference: way => this.differences.next(way) });
    this.found = new FoundPanel(this.viewer, this.marks, {
      toggle: region => void this.#toggle(region),
      answer: (question, answer) => void this.#answer(question, answer),
      advise: finding => void this.#advise(finding),
    });
    this.picker = new RecipePicker(desk.shop.recipes, name => void this.#fill(name, {}));
    this.judged = new JudgedPanel({ keep: again => void this.#keep(again), cancel: () => this.tries.cancel(), drop: () => this.#dropTry(),
      guard: (name, policy) => this.#guard(name, policy) });
    this.record = new RecordPanel({
      undo: to => void this.#act('undo', to === undefined ? {} : { to }, () => 'Put back.'),
      redo: () => void this.#act('redo', {}, () => 'Done again.'),
      note: text => this.#note(text),
      exported: () => void this.#act('export', {}, answer => `Exported: ${answer.export.path}`, this.#source),
      finish: ticket => void this.#finish(ticket),
    }, desk.ticketOf(asked.order));
    this.tries = new Tries({ stale: () => this.#stale(true), slow: phase => this.judged.slow(phase), judged: tried => this.#judged(tried),
      cancelled: () => this.judged.cancelled(), failed: problems => this.#failed(problems) });
    this.head = el('div.head');
    this.formPlace = el('div');
    this.old = el('p.old', { hidden: true }, 'out of date');
    this.viewer.root.append(this.old);
    this.trouble = el('div', { role: 'alert' });
    this.root = this.#lay();
    this.judged.nothing('Opening the art …');
  }

  #lay = () => el('div.bench', {},
    el('section.picture', { 'aria-label': 'The picture' }, this.bar.root, this.viewer.root, this.loupe.root, el('p.simulated', {}, `${simulated} ${keys}`)),
    el('aside.column', { 'aria-label': 'Knobs' },
      el('div.knobs', {}, this.trouble, this.head, this.found.root, this.picker.root, this.formPlace, this.found.regionRoot, this.record.root),
      this.judged.root));

  /** Opens the art, and tries what the form or the address says. @param {string | null} [setup] */
  async open(setup = this.asked.setup) {
    await this.#attempt(async () => {
      this.#take(await post(artPath(this.asked.art, 'open'), setup ? { setup } : {}), null);
      if (this.#form) this.#changed(this.#form.values, true);
      else if (this.asked.recipe) await this.#fill(this.asked.recipe, this.asked.values);
    });
  }

  /** Opens it anew where the program forgot it: nothing that was kept is lost. @returns {boolean} false where that was just done */
  again() {
    if (performance.now() - this.#reopened < soon) return false;
    this.#reopened = performance.now();
    say('Opened again.');
    void this.open(this.#state?.setup.name);
    return true;
  }

  stop() {
    this.#stopped = true;
    this.tries.drop();
    this.viewer.stop();
    this.loupe.stop();
  }

  /** @param {ArtState} state @param {Source | null} same what shows the same pixels */
  #take(state, same) {
    const { art } = state, otherSetup = this.#state?.setup.name !== state.setup.name;
    this.#state = state;
    this.#source = same ? sameSource(same, state.token) : { art: art.id, token: state.token, width: art.width, height: art.height };
    this.#try = null;
    if (otherSetup || state.step === 0) this.#original = null;
    fill(this.trouble, state.lastBad && el('p.bad', {}, `Printed badly last time: ${state.lastBad}`));
    const chose = document.activeElement?.id === 'setup';
    fill(this.head, headOf(state, this.desk.shop.setups, this.asked.order, setup => void this.open(setup)));
    if (chose) document.getElementById('setup')?.focus();
    this.record.show(state);
    this.#show();
    this.#stale(false);
    this.#address();
    if (!this.#form) this.judged.nothing('Choose a recipe, or press a number in the picture.');
    if (state.step > 0 && !this.#original) void this.#findOriginal(state);
  }

  /** @param {ArtState} state */
  async #findOriginal({ art, setup }) {
    const first = await post(artPath(art.id, 'open'), { setup: setup.name, original: true }).catch(() => null);
    if (!first || this.#state?.setup.name !== setup.name || this.#state.step === 0) return;
    this.#original = { art: art.id, token: first.token, width: first.art.width, height: first.art.height };
    this.#show();
  }

  // The picture, its marks and what was found, of the try where there is one.
  #show() {
    const state = this.#state, tried = this.#try?.tried;
    if (!state || !this.#source) return;
    this.viewer.show(this.#try?.source ?? this.#source, this.#try ? this.#source : this.#original);
    this.found.show({ title: tried ? 'To look at in this try' : 'To look at', ppi: this.#ppi,
      findings: tried?.report.left ?? (tried?.resized ? [] : state.findings), questions: tried?.report.questions ?? state.questions,
      regions: this.#regions, chosen: region => this.#chosen(region), words: this.#regionWords });
    this.differences.show(this.#try?.source ?? null, tried);
    this.record.offer(tried !== undefined);
    this.bar.sync();
  }

  #moved() {
    this.marks.place();
    this.loupe.place();
    this.bar.sync();
  }

  get #ppi() {
    return this.#try?.tried.report.resolution?.after ?? (this.#state ? this.#state.printPpi || this.#state.art.ppi : 300);
  }

  get #regions() {
    return regionsOf(this.#try?.tried.report) ?? (this.#try?.tried.resized ? [] : this.#state?.regions ?? []);
  }

  /** What a chosen region is, and what another. @returns {[string, string]} */
  get #regionWords() {
    return this.#form?.hasRegions && !this.#form.runs(whites) ? ['chosen', 'not chosen'] : ['prints', 'stays bare'];
  }

  // What is shown isn't what the form says until it is judged.
  /** @param {boolean} stale */
  #stale(stale) {
    this.old.hidden = !(stale && this.#try);
    this.viewer.root.classList.toggle('stale', !this.old.hidden);
    if (stale) this.judged.stale();
  }

  /** Fills the form with a recipe and tries it. @param {string} name @param {Values} values */
  async #fill(name, values) {
    // Of two that are fetched at once the later one holds, whichever comes first.
    const own = ++this.#fills;
    await this.#attempt(async () => {
      const recipe = await fetchRecipe(name);
      if (own !== this.#fills) return;
      this.#guards = {};
      this.#form = new Form(recipe, values, {
        pickColor: done => pickColor(this.viewer, this.loupe, this.desk.tiles, done),
        drawBox: done => drawBox(this.viewer, done),
        colors: () => this.#state?.colors.map(each => each.rgb) ?? [],
        regions: () => this.#regions,
      }, now => this.#changed(now));
      this.picker.show(recipe);
      this.found.root.open = false;
      fill(this.formPlace, this.#form.root);
      this.#changed(this.#form.values, true);
    });
  }

  /** @param {Values} values @param {boolean} [atOnce] */
  #changed(values, atOnce = false) {
    if (!this.#form || !this.#state || this.#stopped) return;
    this.#address();
    this.tries.ask(this.#state.art.id, { of: this.#state.token, recipe: this.#form.recipe.name, values, guards: this.#guards }, atOnce);
  }

  #address() {
    if (this.#stopped) return;
    const { art, order, setup, recipe, values } = this.asked, form = this.#form;
    // Until the form stands, the address keeps what it says: a reload meanwhile loses nothing.
    this.desk.address({ art, setup: this.#state?.setup.name ?? setup, recipe: form?.recipe.name ?? recipe, values: form?.values ?? values,
      order: order?.id ?? null });
  }

  /** @param {Tried} tried */
  #judged(tried) {
    if (!this.#source) return;
    this.#try = { tried, source: triedSource(this.#source, tried) };
    this.#show();
    this.#form?.refresh();
    this.#stale(false);
    this.judged.judged(tried, this.#ppi);
    const wished = this.#regions.find(region => region.number === this.#wished);
    this.#wished = null;
    if (wished && !this.#chosen(wished)) void this.#toggle(wished);
  }

  /** @param {Problem[]} problems */
  #failed(problems) {
    if (isOld(problems) && this.again()) return;
    this.judged.failed(problems, isOld(problems) ? button('Open it again', () => void this.open(this.#state?.setup.name)) : null);
  }

  #dropTry(words = 'Put away: the art is as it was kept.') {
    this.tries.drop();
    this.#form = this.#try = null;
    this.asked.recipe = null;
    this.asked.values = {};
    fill(this.formPlace);
    this.picker.show(null);
    this.found.root.open = true;
    this.#address();
    this.#show();
    this.#stale(false);
    this.judged.nothing(words);
    say(words);
  }

  // Without a recipe that decides it, a numbered white is as bare as the setup leaves it.
  /** @param {import('./api.js').Region} region */
  #chosen = region => this.#form?.hasRegions ? this.#form.chooses(region) : !this.#state?.setup.bare.white;

  /** @param {import('./api.js').Region} region */
  async #toggle(region) {
    if (!this.#form?.hasRegions) {
      // What the recipe prints anyway is known once it is judged.
      this.#wished = region.number;
      await this.#fill(whites, {});
      return;
    }
    this.#form.switchRegion(region);
    this.#show();
    say(`Region ${region.number}: ${this.#regionWords[this.#chosen(region) ? 0 : 1]}.`);
  }

  /** @param {import('./api.js').Question} question @param {string | null} answer */
  async #answer(question, answer) {
    if (!this.#form?.runs(question.recipe)) await this.#fill(question.recipe, {});
    if (answer) this.#form?.add(question.recipe, [answer]);
  }

  /** @param {string} name @param {string | null} policy */
  #guard(name, policy) {
    const { [name]: _, ...others } = this.#guards;
    this.#guards = policy ? { ...others, [name]: policy } : others;
    if (this.#form) this.#changed(this.#form.values, true);
  }

  /** @param {import('./api.js').Finding} finding */
  async #advise({ recipe, set }) {
    if (!recipe) return;
    if (!this.#form?.runs(recipe)) await this.#fill(recipe, {});
    if (set) this.#form?.add(recipe, set.split(/\s+/));
  }

  /** @param {boolean} again */
  async #keep(again) {
    const shown = this.#try, by = shown && this.old.hidden ? await this.desk.who() : null;
    // Another try may have come while the name was asked.
    if (!shown || by === null || shown !== this.#try || !this.old.hidden) return;
    await this.#attempt(async () => {
      const state = await post(artPath(this.asked.art, 'keep'), { token: shown.tried.token, by, again });
      this.#form = null;
      this.#take(state, shown.source);
      this.#dropTry(`Kept as step ${state.step}.`);
    });
  }

  /**
   * @param {string} act @param {object} more @param {(answer: any) => string} words what is said of it
   * @param {Source | null} [same] what shows the same pixels
   */
  #act(act, more, words, same = null) {
    return this.#attempt(async () => {
      const answer = await post(artPath(this.asked.art, act), { of: this.#state?.token, ...more });
      this.#renew(answer.state ?? answer, same);
      say(words(answer));
    });
  }

  /** @param {string} text */
  async #note(text) {
    const by = await this.desk.who();
    return by !== null && this.#act('note', { text, by }, () => 'The note is left.', this.#source);
  }

  /** @param {import('./api.js').Ticket} ticket */
  async #finish(ticket) {
    const shown = this.#try, tried = shown?.tried, { order } = this.asked;
    if (this.#form && !shown) {
      say('What is tried is not judged: wait for it, or put it away.');
      return;
    }
    if (order && (order.problems.length || order.setup !== this.#state?.setup.name || order.art?.id !== this.asked.art)) {
      say(`This isn't what order ${order.order ?? order.label ?? ''} asks for: another garment setup, another art, or the row itself needs mending.`);
      return;
    }
    if (shown && (!this.old.hidden || tried?.refusal || tried?.repeat)) {
      say("What is tried can't be finished: mend it, or put it away.");
      return;
    }
    const by = await this.desk.who();
    if (by === null || shown !== this.#try || !this.old.hidden) return;
    await this.#attempt(async () => {
      const { art } = this.asked, token = tried?.token ?? this.#state?.token;
      const { ticket: written, state } = await post(artPath(art, 'finish'), { token, by, stem: order?.stem, ticket });
      if (shown) this.#form = null;
      this.#renew(state, shown?.source ?? this.#source);
      if (shown) this.#dropTry();
      say(`Finished: ${written.path}`);
      if (order) this.desk.finished(order.id);
    });
  }

  // What is tried on the old state is tried anew on this one.
  /** @param {ArtState} state @param {Source | null} same what shows the same pixels */
  #renew(state, same) {
    this.#take(state, same);
    if (this.#form) this.#changed(this.#form.values, true);
  }

  /** Acts, and says what went wrong at the top of the column. @param {() => Promise<void>} act @returns {Promise<boolean>} */
  async #attempt(act) {
    this.root.classList.add('busy');
    try {
      await act();
      return true;
    } catch (error) {
      const problems = problemsOf(error), words = problems.map(problem => problem.message).join(' ');
      fill(this.trouble, problemList(problems), isOld(problems) && button('Open it again', () => void this.open(this.#state?.setup.name)));
      this.trouble.scrollIntoView();
      if (isOld(problems)) this.judged.stale();
      say(words);
      return false;
    } finally {
      this.root.classList.remove('busy');
      // A button that was pressed and can't be pressed again loses what keys go to.
      if (document.activeElement === document.body || document.activeElement?.matches(':disabled')) this.viewer.canvas.focus();
    }
  }
}
