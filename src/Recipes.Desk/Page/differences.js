// The places that a try changed, one after the other.
import { say } from './dom.js';
import { columns, side } from './tiles.js';

export class Differences {
  /** @type {import('./api.js').Box[]} */ #boxes = [];
  #at = -1;

  /** @param {import('./viewer.js').Viewer} viewer */
  constructor(viewer) {
    this.viewer = viewer;
  }

  /** @param {import('./tiles.js').Source | null} source @param {import('./api.js').Tried | undefined} tried */
  show(source, tried) {
    this.#boxes = source && tried && !tried.resized ? differences(source, tried.changedTiles) : [];
    this.#at = -1;
  }

  /** Goes to the next one, or the one before. @param {number} way */
  next(way) {
    const count = this.#boxes.length;
    if (!count) {
      say('Nothing differs.');
      return;
    }
    this.#at = this.#at < 0 && way < 0 ? count - 1 : (this.#at + way + count) % count;
    this.viewer.go(this.#boxes[this.#at]);
    say(`Difference ${this.#at + 1} of ${count}.`);
  }
}

/**
 * Where a try changed the art: boxes of tiles that touch.
 * @param {import('./tiles.js').Source} source @param {number[]} tiles @returns {import('./api.js').Box[]}
 */
function differences(source, tiles) {
  const across = columns(source, 0), left = new Set(tiles);
  /** @type {import('./api.js').Box[]} */
  const boxes = [];
  for (const start of [...left]) {
    if (!left.delete(start)) continue;
    let minX = Infinity, minY = Infinity, maxX = 0, maxY = 0;
    for (const queue = [start]; queue.length;) {
      const tile = /** @type {number} */ (queue.pop()), x = tile % across, y = Math.floor(tile / across);
      [minX, minY, maxX, maxY] = [Math.min(minX, x), Math.min(minY, y), Math.max(maxX, x), Math.max(maxY, y)];
      for (const [dx, dy] of [[-1, 0], [1, 0], [0, -1], [0, 1], [-1, -1], [1, -1], [-1, 1], [1, 1]]) {
        const next = tile + dy * across + dx;
        if (x + dx >= 0 && x + dx < across && left.delete(next)) queue.push(next);
      }
    }
    boxes.push([minX * side, minY * side, (maxX - minX + 1) * side, (maxY - minY + 1) * side]);
  }
  return boxes;
}
