// The first screen: the next order, large, and what waits beside it.
import { artPath, isOld, post, problemsOf, recipe as fetchRecipe, wasAborted } from './api.js';
import { button, el, fill, problemList, say, swatch } from './dom.js';
import { nameOf, Questions } from './questions.js';
import { answered, namedFor } from './regions.js';
import { triedSource } from './tiles.js';
import { tab, tryOnce } from './tries.js';
import { ViewBar } from './viewbar.js';
import { Viewer } from './viewer.js';
import { caution, changes, day, guardWords, orderName, orderStates, printed, simulated } from './words.js';

const soon = 5000;

/** @typedef {import('./api.js').Order} Order @typedef {import('./questions.js').Asked} Asked @typedef {Record<string, string>} Values */

export class Orders {
  #orders; #chosen;
  /** @type {Order | null} */ #order = null;
  /** @type {import('./api.js').ArtState | null} */ #state = null;
  /** @type {import('./api.js').Tried | null} */ #tried = null;
  /** @type {import('./tiles.js').Source | null} */ #source = null;
  /** @type {Asked[]} */ #asked = [];
  /** What runs; null where it is finished as it was kept. @type {string | null} */ #recipe = null;
  #list = false; #tries = 0; #stage = /** @type {'waiting' | 'ready' | 'stuck'} */ ('waiting'); #run = new AbortController(); #reopened = -soon;

  /** @param {import('./desk.js').Desk} desk @param {Order[]} orders @param {Order | null} chosen the one to show, else the next one */
  constructor(desk, orders, chosen) {
    this.desk = desk;
    this.#orders = orders;
    this.#chosen = chosen;
    this.viewer = new Viewer(desk.tiles, 'order', { moved: () => this.bar.sync() });
    this.bar = new ViewBar(this.viewer);
    this.questions = new Questions(desk.tiles, (asked, answer) => void this.#answer(asked, answer));
    this.lists = el('nav.lists', { 'aria-label': 'Orders' });
    this.facts = el('div.facts');
    this.words = el('div.said', { role: 'group', 'aria-label': 'What will be done' });
    this.confirm = el('input', { type: 'checkbox', id: 'garment', change: () => this.#drawFinish() });
    this.why = el('p.help', { id: 'why' });
    this.finishButton = button('Finish and go on', () => void this.#finish(), { kind: 'main' });
    this.finishButton.setAttribute('aria-describedby', 'why');
    this.mend = button('Mend', () => this.#mend(), { title: 'Knobs, recipes and history' });
    this.picture = el('section.picture', { 'aria-label': 'The art' }, this.bar.root, this.viewer.root, this.questions.root, el('p.simulated', {}, simulated));
    this.side = el('aside.column', { 'aria-label': 'The order' }, el('div.knobs', {}, this.facts, this.words),
      el('div.judged', {}, el('p.caution', {}, caution), this.why, el('div.row', {}, this.finishButton, this.mend)));
    this.root = el('div.orders', {}, this.lists, this.picture, this.side);
  }

  async open() {
    const waiting = this.#orders.filter(order => order.state === 'ready' || order.state === 'needs-you');
    // One whose row is wrong waits in its list, but doesn't hold up the others.
    const whole = waiting.find(order => order.art && !order.problems.length && !this.desk.skipped.has(order.id));
    await this.#open(this.#chosen ?? whole ?? waiting[0] ?? null);
  }

  stop() {
    this.#run.abort();
    this.viewer.stop();
    this.questions.stop();
  }

  #drawLists() {
    const list = (/** @type {Order['state']} */ state) => {
      const those = this.#orders.filter(order => order.state === state);
      const title = el('h2', { class: state }, orderStates[state], el('span.count', {}, `${those.length}`));
      return el('section', {}, title, el('ol', {}, those.map(order => el('li', {},
        el('a', { href: `#order=${encodeURIComponent(order.id)}`, 'aria-current': order.id === this.#order?.id ? 'true' : null },
          swatch(order.cloth ?? null), el('strong', {}, orderName(order)), ` ${order.art?.name ?? 'art missing'}`,
          el('small', {}, [order.shipBy && day(order.shipBy), order.quantity && `${order.quantity} pcs`, order.why].filter(Boolean).join(', ')))))));
    };
    const done = this.#orders.filter(order => order.state === 'done').length;
    fill(this.lists, list('needs-you'), list('ready'), list('printed-badly'), el('p.help', {}, `${done} done`));
  }

  /** @param {Order | null} order */
  async #open(order) {
    this.#run.abort();
    const run = this.#run = new AbortController();
    this.#order = order;
    this.#state = this.#tried = this.#source = null;
    this.#asked = [];
    this.#stage = 'waiting';
    this.#list = false;
    this.#recipe = null;
    this.#base = order?.values ?? {};
    this.#first = null;
    this.confirm.checked = false;
    fill(this.words);
    this.#drawLists();
    this.#drawFacts();
    this.#drawFinish();
    this.questions.root.hidden = true;
    if (order?.art) fill(this.words, el('p', {}, 'Opening the art …'));
    this.picture.classList.toggle('empty', !order?.art);
    if (!order?.art) return;
    try {
      const state = await post(artPath(order.art.id, 'open'), order.setup ? { setup: order.setup } : {}, run.signal);
      this.#state = state;
      this.#source = { art: state.art.id, token: state.token, width: state.art.width, height: state.art.height };
      this.viewer.show(this.#source, null);
      this.#drawFacts();
      fill(this.words);
      const kept = state.steps.findLast((/** @type {import('./api.js').Step} */ step) => step.state === 'done' && step.recipe.name === order.recipe);
      if (order.recipe) await this.#read(order);
      if (order.problems.length || !order.setup) {
        this.#stage = 'stuck';
        this.#drawFinish();
        return;
      }
      const other = kept && Object.entries(this.#base).find(([name, value]) => kept.parameters[name] !== value);
      if (other) {
        this.#failed([{ code: '', severity: 'error',
          message: `${order.recipe} was kept as step ${kept.step} with another ${other[0]} than this order's, ${other[1]}.`,
          hint: 'Mend it: put that step back, and try it with the values of this order.' }]);
        return;
      }
      if (kept) {
        const by = kept.by ? ` by ${kept.by}` : '';
        fill(this.words, el('p.why', {}, `${order.recipe} was kept already, as step ${kept.step}${by}: it is finished as it was kept.`));
      } else if (order.recipe) {
        this.#recipe = order.recipe;
        await this.#try();
      }
      if (!this.#recipe) this.#asItIs(state);
      void this.#findOthers();
    } catch (error) {
      if (!wasAborted(error)) this.#failed(problemsOf(error));
    }
  }

  // The order's values; a recipe that takes a place is told the order's, as on the command line.
  /** @param {Order} order */
  async #read(order) {
    const { list, parts } = await fetchRecipe(order.recipe ?? '');
    this.#list = list;
    const placed = order.place ? parts.filter(part => part.parameters.some(({ name }) => name === 'place')) : [];
    const places = placed.map(part => [namedFor(list, part.name)('place'), order.place]);
    this.#base = { ...Object.fromEntries(places), ...order.values };
  }

  // Nothing runs: it is finished as it was kept, once what was found about it is answered.
  /** @param {import('./api.js').ArtState} state */
  #asItIs(state) {
    this.#asked = state.questions.map(question => ({ question, chosen: undefined, other: null, sought: false }));
    this.#stage = 'ready';
    this.#drawAnswers();
  }

  /** Opens it anew where the program forgot it. @returns {boolean} false where that was just done */
  again() {
    if (performance.now() - this.#reopened < soon) return false;
    this.#reopened = performance.now();
    void this.#open(this.#order);
    return true;
  }

  /** @param {import('./api.js').Problem[]} problems */
  #failed(problems) {
    if (isOld(problems) && this.again()) {
      say("It was opened again, since it isn't what it was: look at it once more.");
      return;
    }
    this.#stage = 'stuck';
    fill(this.words, problemList(problems), isOld(problems) && button('Open it again', () => void this.#open(this.#order)));
    say(problems.map(problem => problem.message).join(' '));
    this.#drawFinish();
  }

  /** The order's values with the answers so far. */
  #values() {
    let values = this.#base;
    for (const { question, chosen } of this.#asked) if (chosen) values = answered(values, chosen, namedFor(this.#list, question.recipe));
    return values;
  }

  // What the order's recipe makes of it with the answers so far.
  async #try() {
    const { signal } = this.#run, state = this.#state;
    if (!this.#recipe || !state || !this.#source) return;
    this.#stage = 'waiting';
    // Of two answers that follow one another the later one's try is what is finished.
    const own = ++this.#tries;
    if (!this.#tried) fill(this.words, el('p', {}, 'Trying …'));
    this.#drawFinish();
    const { tried, problems } = await tryOnce(state.art.id, { of: state.token, recipe: this.#recipe, values: this.#values(), tab }, signal);
    if (signal.aborted || own !== this.#tries) return;
    if (problems) this.#failed(problems);
    if (!tried) return;
    if (tried.repeat) {
      // It ran already, and a second run does harm: what was kept is what is finished.
      this.#recipe = null;
      this.#list = false;
      fill(this.words, el('p.why', {}, `${tried.repeat.message} It is finished as it was kept.`));
      return;
    }
    this.#tried = tried;
    this.viewer.show(triedSource(this.#source, tried), tried.resized ? null : this.#source);
    const known = new Set(this.#asked.map(asked => nameOf(asked.question)));
    this.#asked.push(...tried.report.questions.filter(question => !known.has(nameOf(question)))
      .map(question => ({ question, chosen: undefined, other: null, sought: false })));
    this.#stage = tried.refusal ? 'stuck' : 'ready';
    this.#drawWords(tried);
    this.#drawAnswers();
  }

  // Draws what the other answer of each question gives, one after the other.
  async #findOthers() {
    const { signal } = this.#run, state = this.#state;
    for (const asked of this.#asked) {
      if (!state || !this.#source || !asked.question.answer || asked.sought) continue;
      asked.sought = true;
      const { question } = asked, recipe = this.#recipe ?? question.recipe;
      const values = answered(this.#recipe ? this.#base : {}, asked.question.answer, namedFor(this.#list, question.recipe));
      // An answer that can't be shown can still be given.
      const { tried } = await tryOnce(state.art.id, { of: state.token, recipe, values, tab: `${tab}-other` }, signal).catch(() => ({ tried: null }));
      if (signal.aborted) return;
      if (tried) asked.other = triedSource(this.#source, tried);
      this.#drawAnswers();
    }
  }

  /** @param {Asked} asked @param {string | null} answer */
  async #answer(asked, answer) {
    asked.chosen = answer;
    this.#drawAnswers();
    try {
      if (this.#recipe) await this.#try();
      const open = this.#asked.filter(one => one.chosen === undefined).length;
      say(open ? `Answered; ${open} left.` : 'All questions are answered.');
      void this.#findOthers();
    } catch (error) {
      if (!wasAborted(error)) this.#failed(problemsOf(error));
    }
  }

  #drawAnswers() {
    const source = this.viewer.after;
    if (source) this.questions.show(this.#asked, this.#first ??= source);
    this.#drawFinish();
  }

  /** The order's own values. @type {Values} */ #base = {};

  /** What holds without an answer: the first try. @type {import('./tiles.js').Source | null} */ #first = null;

  #drawFacts() {
    const order = this.#order, state = this.#state;
    if (!order) {
      fill(this.facts, el('h1', { tabindex: -1 }, 'All done'), el('p', {}, 'No order waits.'), el('a.main', { href: '#arts' }, 'Open an art'));
      this.mend.hidden = true;
      return;
    }
    const stock = this.desk.shop.garments.find(garment => garment.name === order.garment);
    const words = order.garmentInWords ?? (stock && [stock.style, stock.color, stock.fiber].filter(Boolean).join(', '))
      ?? order.garment ?? order.setup ?? 'no garment named';
    const ppi = state ? state.printPpi || state.art.ppi : 0;
    /** @type {[string, string | number | null | undefined | false][]} */
    const rows = [['Ship by', order.shipBy && day(order.shipBy)], ['Quantity', order.quantity], ['Sizes', order.sizes], ['Place', order.place],
      ['Print', state && printed(state.art.width, state.art.height, ppi)], ['Art', order.art?.name], ['Recipe', order.recipe]];
    this.mend.hidden = !order.art;
    fill(this.facts, el('p.order', { class: order.state }, orderStates[order.state]), el('h1', { tabindex: -1 }, `Order ${orderName(order)}`),
      order.why && el('p.why', {}, order.why), order.problems.length > 0 && problemList(order.problems),
      el('dl', {}, rows.filter(([, value]) => value).flatMap(([name, value]) => [el('dt', {}, name), el('dd', {}, `${value}`)])),
      order.art && el('div.garment', {}, swatch(order.cloth ?? state?.setup.garment ?? null), this.confirm,
        el('label', { for: 'garment' }, el('strong', {}, words), `Yes, this is the garment (setup ${order.setup ?? state?.setup.name ?? 'unknown'}).`)));
  }

  /** @param {import('./api.js').Tried} tried */
  #drawWords(tried) {
    const ppi = this.#state ? this.#state.printPpi || this.#state.art.ppi : 300;
    const guards = tried.report.guards.filter(guard => guard.outcome !== 'clear');
    fill(this.words, el('p', {}, changes(tried, ppi)), guards.length > 0 && el('ul', {}, guards.map(guard => el('li', {}, guardWords(guard, ppi)))),
      tried.refusal && problemList([tried.refusal]));
  }

  #drawFinish() {
    const open = this.#asked.filter(asked => asked.chosen === undefined).length, can = this.#order?.art && this.#stage === 'ready';
    const first = [!this.confirm.checked && 'confirm the garment', open && `answer ${open === 1 ? 'the question' : `the ${open} questions`}`].filter(Boolean);
    this.finishButton.disabled = !can || first.length > 0;
    this.finishButton.hidden = !this.#order?.art;
    this.why.textContent = !this.#order?.art ? '' : this.#stage === 'waiting' ? 'One moment …' : this.#stage === 'stuck' ? "It can't be finished so: mend it."
      : first.length ? `First ${first.join(' and ')}.` : 'Keeps it, exports it and writes the ticket.';
  }

  async #finish() {
    const order = this.#order, state = this.#state;
    if (!order?.art || !state) return;
    const by = await this.desk.who();
    if (by === null) return;
    this.#stage = 'waiting';
    this.#drawFinish();
    try {
      const token = this.#recipe ? this.#tried?.token : await this.#keepAnswers(state, by);
      await post(artPath(order.art.id, 'finish'), { token, by, stem: order.stem, ticket: this.desk.ticketOf(order) });
      this.desk.finished(order.id);
    } catch (error) {
      this.#failed(problemsOf(error));
      say('Not finished.');
    }
  }

  // An order without a recipe: each answer is a try of the question's recipe, kept; what stays as it is, is noted.
  /** @param {import('./api.js').ArtState} state @param {string} by @returns {Promise<string>} the token to finish */
  async #keepAnswers(state, by) {
    /** @type {Map<string, Values>} */
    const answers = new Map();
    let now = state;
    for (const { question, chosen } of this.#asked) {
      if (chosen) answers.set(question.recipe, answered(answers.get(question.recipe) ?? {}, chosen, name => name));
      else now = await post(artPath(now.art.id, 'note'), { of: now.token, text: `${question.message} Decided: ${question.proposal}.`, by });
    }
    for (const [recipe, values] of answers) {
      const { tried, problems } = await tryOnce(now.art.id, { of: now.token, recipe, values, tab }, this.#run.signal);
      if (problems) throw new Error(problems.map(problem => problem.message).join(' '));
      now = await post(artPath(now.art.id, 'keep'), { token: tried?.token, by });
    }
    return now.token;
  }

  #mend() {
    const order = this.#order;
    if (!order?.art) return;
    this.desk.go({ art: order.art.id, setup: order.setup ?? null, recipe: order.recipe ?? null, values: this.#values(), order: order.id });
  }
}
