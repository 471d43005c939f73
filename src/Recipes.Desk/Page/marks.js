// What lies over the picture: numbered regions, findings and questions, as buttons that a key reaches.
import { el } from './dom.js';

/**
 * @typedef {{id: string, kind: 'region' | 'finding' | 'question', text: string, label: string, box: import('./api.js').Box, pressed?: boolean,
 *   act: () => void}} Mark
 */

const size = 26, most = 80;

/** @type {Record<string, number>} */
const steps = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

export class Marks {
  #viewer;
  /** @type {Map<string, {mark: Mark, button: HTMLButtonElement, frame: HTMLElement}>} */ #shown = new Map();
  /** @type {string | null} */ #selected = null;

  /** @param {import('./viewer.js').Viewer} viewer */
  constructor(viewer) {
    this.#viewer = viewer;
    viewer.layer.setAttribute('role', 'group');
    viewer.layer.setAttribute('aria-label', 'Marks in the picture. Arrow keys go from one to the next, Enter presses.');
    viewer.layer.addEventListener('keydown', event => this.#key(event));
  }

  /** @param {Mark[]} marks the most important first */
  set(marks) {
    const old = this.#shown;
    this.#shown = new Map();
    for (const mark of marks.slice(0, most)) {
      const { button, frame } = old.get(mark.id) ?? this.#make();
      old.delete(mark.id);
      button.textContent = mark.text;
      button.className = `mark ${mark.kind}`;
      button.setAttribute('aria-label', mark.label);
      button.title = mark.label;
      if (mark.pressed === undefined) button.removeAttribute('aria-pressed');
      else button.setAttribute('aria-pressed', `${mark.pressed}`);
      button.onclick = () => mark.act();
      frame.className = `frame ${mark.kind}`;
      this.#shown.set(mark.id, { mark, button, frame });
    }
    for (const { button, frame } of old.values()) {
      button.remove();
      frame.remove();
    }
    this.place();
  }

  /** Draws one of them heavier. @param {string | null} id */
  select(id) {
    this.#selected = id;
    this.place();
  }

  /** Puts them where the picture is now. One that would lie on another is left out: the list has all. */
  place() {
    const { root } = this.#viewer, width = root.clientWidth, height = root.clientHeight;
    if (!this.#viewer.after || !width) return;
    /** @type {{x: number, y: number}[]} */
    const taken = [];
    let reachable = false;
    for (const [id, { mark, button, frame }] of this.#shown) {
      const [x, y, w, h] = mark.box, from = this.#viewer.toScreen(x, y), to = this.#viewer.toScreen(x + w, y + h);
      const inSight = to.x > from.left && from.x < width && to.y > 0 && from.y < height;
      // The middle says best which region is meant, a corner leaves free what a frame shows; else wherever there is room on the box.
      const corners = [[0, 0], [1, 0], [0, 1], [1, 1]], shares = mark.kind === 'region' ? [[0.5, 0.5], ...corners] : [...corners, [0.5, 0.5]];
      const places = shares.map(([across, down]) => ({ x: Math.max(from.left + 2, Math.min(width - size - 2, from.x + (to.x - from.x) * across - size / 2)),
        y: Math.max(2, Math.min(height - size - 2, from.y + (to.y - from.y) * down - size / 2)) }));
      const free = inSight && places.find(place => !taken.some(other => Math.abs(other.x - place.x) < size && Math.abs(other.y - place.y) < size));
      const at = free || places[0];
      const selected = id === this.#selected;
      if (free) taken.push(at);
      button.hidden = !free && document.activeElement !== button;
      button.style.setProperty('translate', `${Math.round(at.x)}px ${Math.round(at.y)}px`);
      button.tabIndex = !button.hidden && !reachable ? 0 : -1;
      reachable ||= !button.hidden;
      frame.hidden = !inSight || (mark.kind !== 'question' && !selected);
      frame.classList.toggle('selected', selected);
      frame.style.setProperty('translate', `${from.x}px ${from.y}px`);
      frame.style.setProperty('width', `${to.x - from.x}px`);
      frame.style.setProperty('height', `${to.y - from.y}px`);
    }
  }

  #make() {
    const button = el('button', { type: 'button' }), frame = el('div', { 'aria-hidden': 'true' });
    this.#viewer.layer.append(frame, button);
    return { button, frame };
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    if (event.key === 'Escape') this.#viewer.canvas.focus();
    const step = steps[event.key];
    if (!step) return;
    event.preventDefault();
    const buttons = [...this.#shown.values()].map(each => each.button).filter(each => !each.hidden);
    const next = buttons[(buttons.findIndex(each => each === document.activeElement) + step + buttons.length) % buttons.length];
    for (const each of buttons) each.tabIndex = each === next ? 0 : -1;
    next?.focus();
  }
}
