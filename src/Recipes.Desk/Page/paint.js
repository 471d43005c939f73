// Draws tiles into a canvas: the right level for the size on screen, and what is at hand until the right one came.
import { columns, mostLevels, rows, side } from './tiles.js';

/**
 * @typedef {import('./tiles.js').Source} Source
 * @typedef {import('./tiles.js').Wanted} Wanted
 * @typedef {{left: number, top: number, width: number, height: number}} Rect in px of the canvas
 * @typedef {{x: number, y: number, scale: number}} Place the art's px in the middle, and canvas px for each of the art's
 */

/** @param {number} value @param {number} least @param {number} most */
export const clamp = (value, least, most) => Math.max(least, Math.min(most, value));

/** @type {CanvasPattern | null} */
let checker = null;

/** @param {CanvasRenderingContext2D} ctx @returns {CanvasPattern} the usual sign for nothing */
function checkered(ctx) {
  if (!checker) {
    const small = new OffscreenCanvas(16, 16);
    const on = /** @type {OffscreenCanvasRenderingContext2D} */ (small.getContext('2d'));
    for (const [color, x, y] of /** @type {[string, number, number][]} */ ([['#9aa0a3', 0, 0], ['#b6bbbd', 8, 0], ['#b6bbbd', 0, 8], ['#9aa0a3', 8, 8]])) {
      on.fillStyle = color;
      on.fillRect(x, y, 8, 8);
    }
    checker = /** @type {CanvasPattern} */ (ctx.createPattern(small, 'repeat'));
  }
  return checker;
}

/** The level whose px are drawn at half their size or more. @param {number} scale */
const levelFor = scale => clamp(Math.floor(-Math.log2(scale) + 1e-6), 0, mostLevels);

/** The level that shows all of it in a handful of tiles. @param {Source} source */
function overviewLevel(source) {
  let level = 0;
  while (level < mostLevels && columns(source, level) * rows(source, level) > 4) level++;
  return level;
}

/**
 * Draws what of the picture lies in the rectangle.
 * @param {CanvasRenderingContext2D} ctx @param {import('./tiles.js').Tiles} tiles @param {{source: Source, picture: string}} what
 * @param {Rect} rect @param {Place} place @param {Rect} [clip] where less than the rectangle is drawn
 * @returns {Wanted[]} what is needed for it, the middle first
 */
export function paint(ctx, tiles, what, rect, place, clip = rect) {
  const { source, picture } = what;
  const left = rect.left + rect.width / 2 - place.x * place.scale, top = rect.top + rect.height / 2 - place.y * place.scale;
  const grid = { left, top, scale: place.scale, clip };
  ctx.save();
  ctx.beginPath();
  ctx.rect(clip.left, clip.top, clip.width, clip.height);
  ctx.clip();
  ctx.imageSmoothingEnabled = place.scale < 1;
  if (picture === 'raw') {
    ctx.fillStyle = checkered(ctx);
    ctx.fillRect(left, top, source.width * place.scale, source.height * place.scale);
  }

  const level = levelFor(place.scale), overview = overviewLevel(source);
  const wanted = inSight(what, level, grid);
  if (overview > level && wanted.some(one => !tiles.find(source, picture, level, one.index))) {
    const coarse = inSight(what, overview, grid);
    for (const one of coarse) drawTile(ctx, tiles, one, grid);
    wanted.unshift(...coarse);
  }
  for (const one of wanted) if (one.level === level) drawTile(ctx, tiles, one, grid);
  ctx.restore();
  return wanted;
}

/**
 * @param {{source: Source, picture: string}} what @param {number} level @param {{left: number, top: number, scale: number, clip: Rect}} grid
 * @returns {Wanted[]}
 */
function inSight({ source, picture }, level, { left, top, scale, clip }) {
  const size = side * scale * (1 << level), across = columns(source, level), down = rows(source, level);
  const first = Math.max(0, Math.floor((clip.left - left) / size)), last = Math.min(across - 1, Math.floor((clip.left + clip.width - 1 - left) / size));
  const upper = Math.max(0, Math.floor((clip.top - top) / size)), lower = Math.min(down - 1, Math.floor((clip.top + clip.height - 1 - top) / size));
  const seen = [];
  for (let row = upper; row <= lower; row++) {
    for (let column = first; column <= last; column++) {
      seen.push({ far: Math.hypot(row - (upper + lower) / 2, column - (first + last) / 2), index: row * across + column });
    }
  }
  return seen.sort((a, b) => a.far - b.far).map(({ index }) => ({ source, picture, level, index }));
}

/**
 * @param {CanvasRenderingContext2D} ctx @param {import('./tiles.js').Tiles} tiles @param {Wanted} one @param {{left: number, top: number, scale: number}} grid
 */
function drawTile(ctx, tiles, { source, picture, level, index }, { left, top, scale }) {
  const base = source.base && picture !== 'difference' ? source.base : null;
  const tile = tiles.find(source, picture, level, index) ?? (base && tiles.find(base, picture, level, index));
  if (!tile) return;
  const across = columns(source, level), unit = scale * (1 << level);
  const column = index % across, row = Math.floor(index / across);
  // Whole px, so that neighbors meet without a seam.
  const x = Math.round(left + column * side * unit), y = Math.round(top + row * side * unit);
  const width = Math.round(left + (column * side + tile.width) * unit) - x, height = Math.round(top + (row * side + tile.height) * unit) - y;
  if (tile.color) {
    ctx.fillStyle = tile.color;
    ctx.fillRect(x, y, width, height);
  } else if (tile.image) {
    ctx.drawImage(tile.image, x, y, width, height);
  }
}

let crops = 0;

/** A small picture of a box, with some of what lies around it. */
export class Crop {
  #tiles; #who = `crop${++crops}`;
  /** @type {Source | null} */ #source = null;
  /** @type {import('./api.js').Box} */ #box = [0, 0, 1, 1];

  /** @param {import('./tiles.js').Tiles} tiles @param {number} width @param {number} height css px */
  constructor(tiles, width, height) {
    this.#tiles = tiles;
    this.canvas = document.createElement('canvas');
    this.canvas.width = Math.round(width * devicePixelRatio);
    this.canvas.height = Math.round(height * devicePixelRatio);
    this.canvas.setAttribute('aria-hidden', 'true');
    this.stop = tiles.watch(() => this.draw());
  }

  /** @param {Source} source @param {import('./api.js').Box | null} box null shows all */
  show(source, box) {
    this.#source = source;
    this.#box = box ?? [0, 0, source.width, source.height];
    this.draw();
  }

  draw() {
    const { width, height } = this.canvas, ctx = this.canvas.getContext('2d'), source = this.#source;
    if (!ctx || !source) return;
    const [x, y, w, h] = this.#box;
    // A quarter on each side, and at least so much that one sees where it lies.
    const around = Math.max(w, h) / 4 + Math.max(source.width, source.height) / 40;
    const whole = Math.min(width / source.width, height / source.height);
    const scale = clamp(Math.min(width / (w + 2 * around), height / (h + 2 * around)), whole, 8);
    ctx.clearRect(0, 0, width, height);
    // Beside the art's edge there is nothing to see.
    const inside = (/** @type {number} */ middle, /** @type {number} */ seen, /** @type {number} */ size) =>
      seen >= size ? size / 2 : clamp(middle, seen / 2, size - seen / 2);
    const place = { x: inside(x + w / 2, width / scale, source.width), y: inside(y + h / 2, height / scale, source.height), scale };
    const wanted = paint(ctx, this.#tiles, { source, picture: 'cloth' }, { left: 0, top: 0, width, height }, place);
    this.#tiles.want(this.#who, wanted);
  }
}
