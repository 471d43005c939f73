// The bench: one art, its recipes' knobs, and what each turn would change.
import { artPath, post, problemsOf, recipe as fetchRecipe, Refused } from './api.js';
import { button, el, fill, problemList, say } from './dom.js';
import { FoundPanel } from './found.js';
import { Form } from './form.js';
import { JudgedPanel } from './judged.js';
import { Loupe } from './loupe.js';
import { Marks } from './marks.js';
import { RecipePicker } from './picker.js';
import { RecordPanel } from './record.js';
import { answered, chosenNow, namedFor, switched } from './regions.js';
import { pixelAt, sameSource, triedSource } from './tiles.js';
import { Tries } from './tries.js';
import { differences, ViewBar } from './viewbar.js';
import { Viewer } from './viewer.js';
import { number, printed, setupWords, simulated } from './words.js';

/**
 * @typedef {import('./api.js').ArtState} ArtState @typedef {import('./api.js').Tried} Tried @typedef {Record<string, string>} Values
 * @typedef {{art: string, setup: string | null, recipe: string | null, values: Values, order: import('./api.js').Order | null}} Asked what the address says
 */

const whites = 'printable-whites';

export class Bench {
  /** @type {ArtState | null} */ #state = null;
  /** @type {import('./tiles.js').Source | null} */ #source = null;
  /** What came before any step, to compare with where nothing is tried. @type {import('./tiles.js').Source | null} */ #original = null;
  /** @type {{tried: Tried, source: import('./tiles.js').Source} | null} */ #try = null;
  /** @type {Form | null} */ #form = null;
  #differences = /** @type {import('./api.js').Box[]} */ ([]); #difference = -1;

  /** @param {import('./desk.js').Desk} desk @param {Asked} asked */
  constructor(desk, asked) {
    this.desk = desk;
    this.asked = asked;
    this.viewer = new Viewer(desk.tiles, 'bench', { moved: () => this.#moved(), pointed: () => this.loupe.draw(), shown: () => this.bar.sync() });
    this.loupe = new Loupe(desk.tiles, this.viewer);
    this.marks = new Marks(this.viewer);
    this.bar = new ViewBar(this.viewer, { loupe: this.loupe, nextFinding: way => this.found.next(way), nextDifference: way => this.#nextDifference(way) });
    this.found = new FoundPanel(this.viewer, this.marks, { toggle: region => void this.#toggle(region), answer: (question, answer) => void this.#answer(question, answer),
      advise: finding => void this.#fill(finding.recipe ?? '', finding.set ? Object.fromEntries(setsOf(finding.set)) : {}) });
    this.picker = new RecipePicker(desk.shop.recipes, name => void this.#fill(name, {}));
    this.judged = new JudgedPanel({ keep: again => void this.#keep(again), cancel: () => this.tries.cancel(), drop: () => this.#dropTry() });
    this.record = new RecordPanel({ undo: to => void this.#act('undo', to === undefined ? {} : { to }, 'Put back.'), redo: () => void this.#act('redo', {}, 'Done again.'),
      note: text => this.#note(text), exported: () => void this.#export(), finish: ticket => void this.#finish(ticket) }, desk.ticketOf(asked.order));
    this.tries = new Tries({ stale: () => this.#stale(true), slow: phase => this.judged.slow(phase), judged: tried => this.#judged(tried),
      cancelled: () => this.#cancelled(), failed: (problems, error) => this.#failed(problems, error) });
    this.head = el('div.head');
    this.formPlace = el('div');
    this.old = el('p.old', { hidden: true }, 'out of date');
    this.viewer.root.append(this.old);
    this.trouble = el('div', { role: 'alert' });
    this.root = el('div.bench', {}, el('section.picture', { 'aria-label': 'The picture' }, this.bar.root, this.viewer.root, this.loupe.root, el('p.simulated', {}, simulated)),
      el('aside.column', { 'aria-label': 'Knobs' }, el('div.knobs', {}, this.trouble, this.head, this.found.root, this.picker.root, this.formPlace, this.found.regionRoot, this.record.root),
        this.judged.root));
  }

  /** Opens the art. @param {string | null} [setup] */
  async open(setup = this.asked.setup) {
    await this.#attempt(async () => {
      this.#take(await post(artPath(this.asked.art, 'open'), setup ? { setup } : {}), null);
      const { recipe, values } = this.#form ? { recipe: this.#form.recipe.name, values: this.#form.values } : this.asked;
      if (recipe) await this.#fill(recipe, values);
    });
  }

  stop() {
    this.tries.drop();
    this.viewer.stop();
    this.loupe.stop();
  }

  /** @param {ArtState} state @param {import('./tiles.js').Source | null} same what shows the same pixels */
  #take(state, same) {
    const { art } = state, first = this.#state === null || this.#state.setup.name !== state.setup.name;
    this.#state = state;
    this.#source = same ? sameSource(same, state.token) : { art: art.id, token: state.token, width: art.width, height: art.height };
    this.#try = null;
    if (first) this.#original = null;
    fill(this.trouble, state.lastBad && el('p.bad', {}, `Printed badly last time: ${state.lastBad}`));
    this.#drawHead(state);
    this.record.show(state);
    this.#show();
    this.#stale(false);
    if (state.step > 0 && !this.#original) void this.#findOriginal(state);
  }

  /** @param {ArtState} state */
  async #findOriginal({ art, setup }) {
    const first = await post(artPath(art.id, 'open'), { setup: setup.name, original: true }).catch(() => null);
    if (!first || this.#state?.art.id !== art.id || this.#state.setup.name !== setup.name) return;
    this.#original = { art: art.id, token: first.token, width: first.art.width, height: first.art.height };
    this.#show();
  }

  /** @param {ArtState} state */
  #drawHead(state) {
    const { art, setup } = state, { order } = this.asked, ppi = state.printPpi || art.ppi;
    const select = el('select', { id: 'setup', change: () => void this.open(select.value) },
      this.desk.shop.setups.map(each => el('option', { value: each.name, selected: each.name === setup.name }, each.name)));
    const cloth = el('span.swatch', { 'aria-hidden': 'true' });
    cloth.style.setProperty('background-color', setup.garment);
    fill(this.head, order && el('p.order', {}, `Order ${order.order}`), el('h1', {}, art.name),
      el('p.help', {}, `${number(art.width)} × ${number(art.height)} px, prints ${printed(art.width, art.height, ppi)} at ${number(ppi)} px an inch. ${art.notes.join(' ')}`),
      el('div.field', {}, el('label', { for: 'setup' }, 'Garment setup'), el('div.row', {}, cloth, select)),
      el('p.help', {}, `${setupWords(setup)}.${state.setupIsFallback ? ' Nobody chose this setup yet: is it the right one?' : ''}`));
  }

  // The picture, its marks and what was found, of the try where there is one.
  #show() {
    const state = this.#state, tried = this.#try?.tried;
    if (!state || !this.#source) return;
    this.viewer.show(this.#try?.source ?? this.#source, this.#try ? this.#source : this.#original);
    const ppi = state.printPpi || state.art.ppi, lists = tried?.report.regions.filter(list => list.regions.length) ?? [];
    this.found.show({ title: tried ? 'To look at in this try' : 'To look at', ppi, findings: tried?.report.left ?? state.findings,
      questions: tried?.report.questions ?? state.questions, regions: lists.at(-1)?.regions ?? state.regions, chosen: region => this.#chosen(region) });
    this.#differences = this.#try && tried && !tried.resized ? differences(this.#try.source, tried.changedTiles) : [];
    this.#difference = -1;
    this.bar.sync();
  }

  #moved() {
    this.marks.place();
    this.loupe.place();
    this.bar.sync();
  }

  /** @param {boolean} stale */
  #stale(stale) {
    this.old.hidden = !(stale && this.#try);
    this.viewer.root.classList.toggle('stale', !this.old.hidden);
    if (stale) this.judged.stale();
  }

  /** Fills the form with a recipe and tries it. @param {string} name @param {Values} values */
  async #fill(name, values) {
    await this.#attempt(async () => {
      const recipe = await fetchRecipe(name);
      /** @type {import('./fields.js').Picture} */
      const picture = { pickColor: done => this.#pickColor(done), drawBox: done => this.#drawBox(done), colors: () => this.#state?.colors.map(each => each.rgb) ?? [],
        regions: () => this.#regions };
      this.#form = new Form(recipe, values, picture, now => this.#changed(now));
      this.picker.show(recipe);
      this.found.root.open = false;
      fill(this.formPlace, this.#form.root);
      this.#changed(this.#form.values, true);
    });
  }

  get #regions() {
    return this.#try?.tried.report.regions.findLast(list => list.regions.length)?.regions ?? this.#state?.regions ?? [];
  }

  /** @param {Values} values @param {boolean} [atOnce] */
  #changed(values, atOnce = false) {
    if (!this.#form || !this.#state) return;
    this.#address();
    this.tries.ask(this.#state.art.id, { of: this.#state.token, recipe: this.#form.recipe.name, values }, atOnce);
  }

  #address() {
    this.desk.address({ art: this.asked.art, setup: this.#state?.setup.name ?? this.asked.setup, recipe: this.#form?.recipe.name ?? null,
      values: this.#form?.values ?? {}, order: this.asked.order?.id ?? null });
  }

  /** @param {Tried} tried */
  #judged(tried) {
    if (!this.#state || !this.#source) return;
    this.#try = { tried, source: triedSource(this.#source, tried) };
    this.#show();
    this.#form?.refresh();
    this.#stale(false);
    this.judged.judged(tried, this.#state.printPpi || this.#state.art.ppi);
  }

  /** @param {import('./api.js').Problem[]} problems @param {unknown} error */
  #failed(problems, error) {
    if (error instanceof Refused && error.status === 410) {
      void this.#again();
      return;
    }
    this.judged.failed(problems, error instanceof Refused && error.status === 409 ? button('Open it again', () => void this.open(this.#state?.setup.name)) : null);
  }

  #cancelled() {
    this.judged.nothing('Cancelled. Turn a knob to try again.');
    say('Cancelled.');
  }

  // Opened anew where the program forgot it, or where somebody else kept something meanwhile.
  async #again() {
    say('Opened again.');
    await this.open(this.#state?.setup.name);
  }

  #dropTry() {
    this.tries.drop();
    this.#form = null;
    this.#try = null;
    fill(this.formPlace);
    this.picker.show(null);
    this.found.root.open = true;
    this.#address();
    this.#show();
    this.#stale(false);
    this.judged.root.classList.remove('stale');
    this.judged.nothing('Put away: the art is as it was kept.');
  }

  /** The region parameters of the form: the recipe's own, or those of the list's recipe that has them. */
  #regionParameters() {
    const part = this.#form?.recipe.parts.find(each => each.name === whites && each.parameters.some(({ type }) => type === 'regionnumbers'))
      ?? this.#form?.recipe.parts.find(each => each.parameters.some(({ type }) => type === 'regionnumbers'));
    const has = new Set(part?.parameters.filter(({ type }) => type === 'regionnumbers').map(({ name }) => name));
    return { part, has, named: namedFor(this.#form?.recipe.list ?? false, part?.name ?? '') };
  }

  /** @param {import('./api.js').Region} region */
  #chosen(region) {
    const { part, named } = this.#regionParameters();
    return part && this.#form ? chosenNow(this.#form.values, named, region) : region.chosen;
  }

  /** @param {import('./api.js').Region} region */
  async #toggle(region) {
    if (!this.#regionParameters().part) await this.#fill(whites, {});
    const { part, has, named } = this.#regionParameters();
    if (!part || !this.#form) return;
    this.#form.set(switched(this.#form.values, named, has, region));
    const chosen = this.#chosen(region);
    this.#show();
    say(`Region ${region.number} ${chosen ? 'prints' : 'stays bare'}.`);
  }

  /** @param {import('./api.js').Question} question @param {string | null} answer */
  async #answer(question, answer) {
    const fits = this.#form?.recipe.parts.some(part => part.name === question.recipe);
    if (!fits) await this.#fill(question.recipe, {});
    if (!this.#form || !answer) return;
    this.#form.set(answered(this.#form.values, answer, namedFor(this.#form.recipe.list, question.recipe)));
  }

  /** @param {(color: string) => void} done */
  #pickColor(done) {
    say('Press a color in the picture, or move the loupe there and press Enter. Escape ends it.');
    this.viewer.ask({ kind: 'color', done: ({ x, y }) => {
      const source = this.viewer.after;
      if (!source) return;
      const at = { x: Math.max(0, Math.min(source.width - 1, Math.floor(x))), y: Math.max(0, Math.min(source.height - 1, Math.floor(y))) };
      if (!this.loupe.on) this.loupe.turn(true);
      this.viewer.point(at);
      const read = () => {
        const pixel = pixelAt(this.desk.tiles, source, at.x, at.y);
        if (!pixel) return;
        stop();
        done(`#${pixel.slice(0, 3).map(channel => channel.toString(16).padStart(2, '0')).join('')}`);
      };
      const stop = this.desk.tiles.watch(read);
      read();
      this.bar.sync();
    } });
  }

  /** @param {(box: string) => void} done */
  #drawBox(done) {
    say('Drag a box in the picture; Escape ends it.');
    this.viewer.ask({ kind: 'box', done: ({ x, y, width, height }) => done([x, y, width, height].map(side => `${side}px`).join(',')) });
  }

  /** @param {number} way */
  #nextDifference(way) {
    const count = this.#differences.length;
    if (!count) {
      say('Nothing differs.');
      return;
    }
    this.#difference = this.#difference < 0 ? (way > 0 ? 0 : count - 1) : (this.#difference + way + count) % count;
    this.viewer.go(this.#differences[this.#difference]);
    say(`Difference ${this.#difference + 1} of ${count}.`);
  }

  /** @param {boolean} again */
  async #keep(again) {
    const tried = this.#try;
    if (!tried || !this.old.hidden) return;
    const by = await this.desk.who();
    if (by === null) return;
    await this.#attempt(async () => {
      const state = await post(artPath(this.asked.art, 'keep'), { token: tried.tried.token, by, again });
      this.#dropTry();
      this.#take(state, tried.source);
      this.judged.nothing(`Kept as step ${state.step}.`);
      say(`Kept as step ${state.step}.`);
    });
  }

  /** @param {'undo' | 'redo'} act @param {object} more @param {string} words */
  async #act(act, more, words) {
    await this.#attempt(async () => {
      const state = await post(artPath(this.asked.art, act), { of: this.#state?.token, ...more });
      this.#take(state, null);
      say(words);
      if (this.#form) this.#changed(this.#form.values, true);
    });
  }

  /** @param {string} text */
  async #note(text) {
    const by = await this.desk.who();
    return by !== null && this.#attempt(async () => {
      this.#renew(await post(artPath(this.asked.art, 'note'), { of: this.#state?.token, text, by }));
      say('The note is left.');
    });
  }

  async #export() {
    await this.#attempt(async () => {
      const { export: exported, state } = await post(artPath(this.asked.art, 'export'), { of: this.#state?.token });
      this.#renew(state);
      say(`Exported: ${exported.path}`);
    });
  }

  /** @param {import('./api.js').Ticket} ticket */
  async #finish(ticket) {
    if (this.#try) {
      say('A try is open: keep it or put it away first.');
      this.judged.root.scrollIntoView();
      return;
    }
    const by = await this.desk.who();
    if (by === null) return;
    await this.#attempt(async () => {
      const { ticket: written, state } = await post(artPath(this.asked.art, 'finish'), { token: this.#state?.token, by, stem: this.asked.order?.stem, ticket });
      this.#renew(state);
      say(`Finished: ${written.path}`);
      if (this.asked.order) this.desk.finished(this.asked.order.id);
    });
  }

  // The same pixels with another token: what is tried on the old one is tried anew.
  /** @param {ArtState} state */
  #renew(state) {
    this.#take(state, this.#source);
    if (this.#form) this.#changed(this.#form.values, true);
  }

  /** Acts, one at a time, and says what went wrong at the top of the column. @param {() => Promise<void>} act @returns {Promise<boolean>} */
  async #attempt(act) {
    this.root.classList.add('busy');
    try {
      await act();
      return true;
    } catch (error) {
      const old = error instanceof Refused && (error.status === 409 || error.status === 410);
      fill(this.trouble, problemList(problemsOf(error)), old && button('Open it again', () => void this.#again()));
      this.trouble.scrollIntoView();
      return false;
    } finally {
      this.root.classList.remove('busy');
    }
  }
}

/** Values such as `ring=2mm edge=bare`. @param {string} text @returns {[string, string][]} */
const setsOf = text => text.split(/\s+/).filter(set => set.includes('=')).map(set => [set.slice(0, set.indexOf('=')), set.slice(set.indexOf('=') + 1)]);
