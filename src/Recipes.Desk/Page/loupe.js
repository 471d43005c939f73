// The loupe: a few pixels, large, and the exact bytes of the middle one.
import { el } from './dom.js';
import { columns, pixelAt, side } from './tiles.js';

const reach = 5, cell = 10;

export class Loupe {
  #tiles; #viewer; #on = false;

  /** @param {import('./tiles.js').Tiles} tiles @param {import('./viewer.js').Viewer} viewer */
  constructor(tiles, viewer) {
    this.#tiles = tiles;
    this.#viewer = viewer;
    const size = (2 * reach + 1) * cell;
    this.canvas = el('canvas', { width: size, height: size, role: 'img', 'aria-label': 'Pixels around the cross, enlarged' });
    this.words = el('p.readout');
    this.root = el('div.loupe', { hidden: true }, this.canvas, this.words);
    this.cross = el('div.cross', { hidden: true, 'aria-hidden': 'true' });
    viewer.root.append(this.cross);
    this.stop = tiles.watch(() => { if (this.#on) this.draw(); });
  }

  get on() {
    return this.#on;
  }

  /** @param {boolean} on */
  turn(on) {
    this.#on = on;
    this.root.hidden = this.cross.hidden = !on;
    this.#viewer.cross = null;
    if (on) this.#viewer.point(this.#viewer.place);
  }

  /** Puts the cross where it points. */
  place() {
    const at = this.#viewer.cross;
    if (!at) return;
    const { x, y } = this.#viewer.toScreen(at.x + 0.5, at.y + 0.5);
    this.cross.style.setProperty('translate', `${x}px ${y}px`);
  }

  draw() {
    const { after, before, cross } = this.#viewer, ctx = this.canvas.getContext('2d');
    if (!after || !cross || !ctx) return;
    this.place();
    ctx.clearRect(0, 0, this.canvas.width, this.canvas.height);
    for (let dy = -reach; dy <= reach; dy++) {
      for (let dx = -reach; dx <= reach; dx++) {
        const x = cross.x + dx, y = cross.y + dy;
        const pixel = x >= 0 && y >= 0 && x < after.width && y < after.height ? pixelAt(this.#tiles, after, x, y) : null;
        if (!pixel) continue;
        ctx.fillStyle = `rgb(${pixel[0]} ${pixel[1]} ${pixel[2]} / ${pixel[3] / 255})`;
        ctx.fillRect((dx + reach) * cell, (dy + reach) * cell, cell, cell);
      }
    }
    ctx.strokeStyle = '#000';
    ctx.strokeRect(reach * cell - 1.5, reach * cell - 1.5, cell + 3, cell + 3);
    ctx.strokeStyle = '#fff';
    ctx.strokeRect(reach * cell - 0.5, reach * cell - 0.5, cell + 1, cell + 1);
    this.#fetch(after, 'loupe');
    const compared = before && before.width === after.width && before.height === after.height ? before : null;
    if (compared) this.#fetch(compared, 'loupe before');
    this.words.textContent = `x ${cross.x}, y ${cross.y}: ${words(pixelAt(this.#tiles, after, cross.x, cross.y))}`
      + (compared ? `; before: ${words(pixelAt(this.#tiles, compared, cross.x, cross.y))}` : '');
  }

  /** @param {import('./tiles.js').Source} source @param {string} who */
  #fetch(source, who) {
    const { x, y } = /** @type {{x: number, y: number}} */ (this.#viewer.cross), across = columns(source, 0);
    const near = new Set([-reach, reach].flatMap(dy => [-reach, reach].map(dx =>
      Math.floor(Math.max(0, Math.min(source.height - 1, y + dy)) / side) * across + Math.floor(Math.max(0, Math.min(source.width - 1, x + dx)) / side))));
    this.#tiles.want(who, [...near].map(index => ({ source, picture: 'raw', level: 0, index })));
  }
}

/** @param {number[] | null} pixel */
const words = pixel => pixel ? `red ${pixel[0]}, green ${pixel[1]}, blue ${pixel[2]}, alpha ${pixel[3]}` : 'on its way';
