// The picture: pan, zoom, and two states compared. What is drawn comes from paint.js; what lies over it from marks.js.
import { el } from './dom.js';
import { clamp, paint } from './paint.js';

/**
 * @typedef {import('./tiles.js').Source} Source
 * @typedef {'after' | 'before' | 'divider' | 'blink' | 'side'} Mode
 * @typedef {{kind: 'color' | 'box', done: (at: {x: number, y: number, width: number, height: number}) => void}} Task what the next press in the picture is for
 */

const mostScale = 64, keyStep = 60;
/** @type {Record<string, [number, number]>} */
const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
export const calm = matchMedia('(prefers-reduced-motion: reduce)');

export class Viewer {
  #tiles; #who; #queued = false; #fitted = true; #blinked = false; #timer = 0; #split = 0.5;
  /** @type {Task | null} */ #task = null;
  /** @type {{x: number, y: number} | null} */ #from = null;
  /** @type {Source | null} */ after = null;
  /** @type {Source | null} */ before = null;
  /** @type {Mode} */ mode = 'after';
  picture = 'cloth';
  holding = false;
  /** @type {import('./paint.js').Place} */ place = { x: 0, y: 0, scale: 1 };
  /** Where the loupe looks, in px of the art. @type {{x: number, y: number} | null} */ cross = null;

  /**
   * @param {import('./tiles.js').Tiles} tiles @param {string} who whose tiles these are
   * @param {{moved?: () => void, pointed?: () => void, shown?: () => void}} [told] `moved` after each drawing, `pointed` when the cross moved,
   *   `shown` when a control's state changed
   */
  constructor(tiles, who, told = {}) {
    this.#tiles = tiles;
    this.#who = who;
    this.told = told;
    this.canvas = el('canvas', { tabindex: 0, role: 'application',
      'aria-label': 'The picture. Arrow keys move it, plus and minus zoom, 0 fits it, 1 shows true pixels, B held shows before.' });
    this.layer = el('div.marks');
    this.handle = el('div.divider', { role: 'slider', tabindex: 0, 'aria-label': 'Divider: before on the left, after on the right',
      hidden: true, 'aria-valuemin': 0, 'aria-valuemax': 100, keydown: (/** @type {KeyboardEvent} */ event) => this.#divideByKey(event) });
    this.rubber = el('div.rubber', { hidden: true });
    this.root = el('div.viewer', {}, this.canvas, this.layer, this.handle, this.rubber);
    this.#listen();
    this.stops = [tiles.watch(() => this.refresh())];
    const seen = new ResizeObserver(() => this.#resize());
    seen.observe(this.root);
    this.stops.push(() => seen.disconnect(), () => clearInterval(this.#timer), () => tiles.want(who, []));
  }

  stop() {
    for (const stop of this.stops) stop();
  }

  /** @param {Source} after @param {Source | null} before what it is compared with */
  show(after, before) {
    const resized = !this.after || this.after.width !== after.width || this.after.height !== after.height;
    this.after = after;
    this.before = before;
    if (this.picture === 'difference' && !after.base) this.picture = 'cloth';
    if (!this.before || (!this.#overlays && this.mode !== 'side')) this.compare('after');
    if (resized) this.fit();
    this.refresh();
  }

  /** @param {Mode} mode */
  compare(mode) {
    this.mode = mode;
    clearInterval(this.#timer);
    this.#blinked = false;
    if (mode === 'blink' && !calm.matches) {
      this.#timer = window.setInterval(() => {
        this.#blinked = !this.#blinked;
        this.refresh();
      }, 500);
    }
    if (this.#fitted) this.fit();
    this.refresh();
    this.told.shown?.();
  }

  /** @param {string} picture */
  choose(picture) {
    this.picture = picture;
    this.compare(picture === 'difference' ? 'after' : this.mode);
  }

  /** @param {Task | null} task */
  ask(task) {
    this.#task = task;
    this.root.classList.toggle('asking', task !== null);
    if (task) this.canvas.focus();
  }

  fit() {
    if (!this.after) return;
    const { width, height } = this.#rects().at(-1) ?? this.canvas;
    const air = 0.96;
    const { width: wide, height: high } = this.after;
    this.place = { x: wide / 2, y: high / 2, scale: Math.min(air * width / wide, air * height / high, mostScale) };
    this.#fitted = true;
    this.refresh();
  }

  /** True pixels: one of the art is one of the screen. */
  trueSize() {
    this.zoom(1 / this.place.scale);
  }

  /** @param {number} factor @param {{x: number, y: number}} [about] the px of the art that stays where it is */
  zoom(factor, about = this.place) {
    const least = 16 / Math.max(this.after?.width ?? 16, this.after?.height ?? 16);
    const scale = clamp(this.place.scale * factor, least, mostScale), kept = this.place.scale / scale;
    this.place = { x: about.x + (this.place.x - about.x) * kept, y: about.y + (this.place.y - about.y) * kept, scale };
    this.#fitted = false;
    this.refresh();
  }

  /** Moves what is looked at. @param {number} dx @param {number} dy css px */
  pan(dx, dy) {
    const { x, y, scale } = this.place, { width, height } = this.after ?? { width: 1, height: 1 };
    const each = devicePixelRatio / scale;
    this.place = { scale, x: clamp(x + dx * each, 0, width), y: clamp(y + dy * each, 0, height) };
    this.#fitted = false;
    this.refresh();
  }

  /** Shows a box with what lies around it. @param {import('./api.js').Box} box */
  go([x, y, width, height]) {
    const rect = this.#rects().at(-1) ?? this.canvas;
    const scale = Math.min(0.5 * rect.width / width, 0.5 * rect.height / height, 4);
    this.place = { x: x + width / 2, y: y + height / 2, scale };
    this.#fitted = false;
    this.refresh();
  }

  /** @param {{x: number, y: number}} cross */
  point(cross) {
    const { width, height } = this.after ?? { width: 1, height: 1 };
    this.cross = { x: clamp(Math.floor(cross.x), 0, width - 1), y: clamp(Math.floor(cross.y), 0, height - 1) };
    this.told.pointed?.();
  }

  /** Where a px of the art lies, in css px of the viewer. @param {number} x @param {number} y */
  toScreen(x, y) {
    const rect = /** @type {import('./paint.js').Rect} */ (this.#rects().at(-1));
    return { x: (rect.left + rect.width / 2 + (x - this.place.x) * this.place.scale) / devicePixelRatio,
      y: (rect.top + rect.height / 2 + (y - this.place.y) * this.place.scale) / devicePixelRatio, left: rect.left / devicePixelRatio };
  }

  refresh() {
    if (this.#queued) return;
    this.#queued = true;
    requestAnimationFrame(() => {
      this.#queued = false;
      this.#draw();
    });
  }

  /** Both can lie over one another. */
  get #overlays() {
    return this.before !== null && this.after !== null && this.before.width === this.after.width && this.before.height === this.after.height;
  }

  // The panes; the last one shows what marks lie on.
  #rects() {
    const { width, height } = this.canvas, gap = 4;
    const half = Math.floor((width - gap) / 2);
    return this.mode === 'side' && this.before && this.picture !== 'difference'
      ? [{ left: 0, top: 0, width: half, height }, { left: half + gap, top: 0, width: half, height }] : [{ left: 0, top: 0, width, height }];
  }

  #draw() {
    const ctx = this.canvas.getContext('2d');
    if (!ctx || !this.after || this.canvas.width === 0) return;
    ctx.clearRect(0, 0, this.canvas.width, this.canvas.height);
    const wanted = [], rects = this.#rects(), whole = rects[0], alone = this.picture === 'difference' || !this.before;
    const cut = Math.round(whole.width * this.#split);
    const divided = this.mode === 'divider' && !alone && !this.holding;
    const early = !alone && (this.holding || this.mode === 'before' || (this.mode === 'blink' && this.#blinked));
    if (rects.length === 2) {
      wanted.push(...this.#pane(ctx, this.before, rects[0]), ...this.#pane(ctx, this.after, rects[1]));
    } else if (divided) {
      wanted.push(...this.#pane(ctx, this.before, whole, { clip: { ...whole, width: cut } }),
        ...this.#pane(ctx, this.after, whole, { clip: { ...whole, left: cut, width: whole.width - cut } }));
    } else {
      wanted.push(...this.#pane(ctx, early ? this.before : this.after, whole));
      // The other one is fetched as well: a blink that waits for tiles shows nothing.
      if (this.mode === 'blink' && !alone) wanted.push(...this.#pane(ctx, early ? this.after : this.before, whole, { unseen: true }));
    }
    this.handle.hidden = !divided;
    this.handle.style.setProperty('left', `${cut / devicePixelRatio}px`);
    this.handle.setAttribute('aria-valuenow', `${Math.round(this.#split * 100)}`);
    this.root.classList.toggle('early', early);
    this.#tiles.want(this.#who, wanted);
    this.told.moved?.();
  }

  /**
   * @param {CanvasRenderingContext2D} ctx @param {Source | null} source @param {import('./paint.js').Rect} rect
   * @param {{clip?: import('./paint.js').Rect, unseen?: boolean}} [how] `unseen` only finds out what is needed
   */
  #pane(ctx, source, rect, { clip = rect, unseen = false } = {}) {
    if (!source || !this.after) return [];
    // Pictures of two sizes are linked by what share of each lies in the middle.
    const wide = source.width / this.after.width;
    const place = { x: this.place.x * wide, y: this.place.y * source.height / this.after.height, scale: this.place.scale / wide };
    ctx.globalAlpha = unseen ? 0 : 1;
    const wanted = paint(ctx, this.#tiles, { source, picture: this.picture }, rect, place, clip);
    ctx.globalAlpha = 1;
    return wanted;
  }

  #resize() {
    this.canvas.width = Math.round(this.root.clientWidth * devicePixelRatio);
    this.canvas.height = Math.round(this.root.clientHeight * devicePixelRatio);
    if (this.#fitted) this.fit();
    this.refresh();
  }

  /** @param {PointerEvent | WheelEvent} event @returns {{x: number, y: number}} the px of the art under the pointer */
  #artAt(event) {
    const box = this.canvas.getBoundingClientRect();
    const x = (event.clientX - box.left) * devicePixelRatio, y = (event.clientY - box.top) * devicePixelRatio;
    const rects = this.#rects(), rect = rects.find(each => x < each.left + each.width) ?? rects[rects.length - 1];
    return { x: this.place.x + (x - rect.left - rect.width / 2) / this.place.scale, y: this.place.y + (y - rect.top - rect.height / 2) / this.place.scale };
  }

  #listen() {
    this.canvas.addEventListener('wheel', event => {
      event.preventDefault();
      this.zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0015)), this.#artAt(event));
    }, { passive: false });
    this.canvas.addEventListener('pointerdown', event => this.#press(event));
    this.canvas.addEventListener('pointermove', event => { if (this.cross && !event.buttons) this.point(this.#artAt(event)); });
    this.canvas.addEventListener('keydown', event => this.#key(event));
    this.root.addEventListener('keyup', event => { if (event.key.toLowerCase() === 'b') this.hold(false); });
    this.root.addEventListener('focusout', () => this.hold(false));
    this.handle.addEventListener('pointerdown', event => this.#drag(event, this.handle, move => this.#divide(move.clientX)));
  }

  /** Shows what was before for as long as it is held. @param {boolean} held */
  hold(held) {
    if (this.holding === held) return;
    this.holding = held;
    this.refresh();
  }

  /** @param {PointerEvent} event */
  #press(event) {
    if (event.button !== 0) return;
    const task = this.#task, start = this.#artAt(event);
    this.#from = { x: event.clientX, y: event.clientY };
    this.#drag(event, this.canvas, (move, last) => {
      if (task?.kind === 'box') {
        this.#stretch(start, this.#artAt(move), last);
      } else if (task?.kind === 'color') {
        if (last) this.#answer({ ...this.#artAt(move), width: 1, height: 1 });
      } else if (this.#from) {
        this.pan(this.#from.x - move.clientX, this.#from.y - move.clientY);
        this.#from = { x: move.clientX, y: move.clientY };
      }
    });
  }

  /** @param {PointerEvent} event @param {HTMLElement} on @param {(event: PointerEvent, last: boolean) => void} moved */
  #drag(event, on, moved) {
    on.setPointerCapture(event.pointerId);
    const move = (/** @type {PointerEvent} */ each) => moved(each, false);
    on.addEventListener('pointermove', move);
    on.addEventListener('lostpointercapture', () => on.removeEventListener('pointermove', move), { once: true });
    on.addEventListener('pointerup', each => moved(each, true), { once: true });
  }

  /** @param {{x: number, y: number}} a @param {{x: number, y: number}} b @param {boolean} last */
  #stretch(a, b, last) {
    const x = Math.max(0, Math.floor(Math.min(a.x, b.x))), y = Math.max(0, Math.floor(Math.min(a.y, b.y)));
    const right = Math.min(this.after?.width ?? 1, Math.ceil(Math.max(a.x, b.x))), bottom = Math.min(this.after?.height ?? 1, Math.ceil(Math.max(a.y, b.y)));
    const from = this.toScreen(x, y), to = this.toScreen(right, bottom);
    for (const [name, value] of [['left', from.x], ['top', from.y], ['width', to.x - from.x], ['height', to.y - from.y]]) {
      this.rubber.style.setProperty(`${name}`, `${value}px`);
    }
    this.rubber.hidden = last;
    if (last && right > x && bottom > y) this.#answer({ x, y, width: right - x, height: bottom - y });
  }

  /** @param {{x: number, y: number, width: number, height: number}} at */
  #answer(at) {
    const task = this.#task;
    this.ask(null);
    task?.done(at);
  }

  /** @param {number} clientX */
  #divide(clientX) {
    const box = this.canvas.getBoundingClientRect();
    this.#split = clamp((clientX - box.left) / box.width, 0, 1);
    this.refresh();
  }

  /** @param {KeyboardEvent} event */
  #divideByKey(event) {
    const [step] = arrows[event.key] ?? [0];
    if (!step) return;
    event.preventDefault();
    this.#split = clamp(this.#split + step * (event.shiftKey ? 0.1 : 0.02), 0, 1);
    this.refresh();
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const arrow = arrows[event.key];
    if (arrow && this.cross && !event.shiftKey) this.point({ x: this.cross.x + arrow[0], y: this.cross.y + arrow[1] });
    else if (arrow) this.pan(arrow[0] * keyStep, arrow[1] * keyStep);
    else if (event.key === '+' || event.key === '=') this.zoom(Math.SQRT2);
    else if (event.key === '-') this.zoom(Math.SQRT1_2);
    else if (event.key === '0') this.fit();
    else if (event.key === '1') this.trueSize();
    else if (event.key.toLowerCase() === 'b') this.hold(true);
    else if (event.key === 'Escape' && this.#task) this.ask(null);
    else if (event.key === 'Enter' && this.#task?.kind === 'color') this.#answer({ ...(this.cross ?? this.place), width: 1, height: 1 });
    else return;
    event.preventDefault();
  }
}
