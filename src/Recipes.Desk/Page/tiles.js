// Tiles of what is shown, fetched in as few requests as there are pictures in sight, and remembered while there is room.
import { tiles as fetchTiles, wasAborted } from './api.js';

export const side = 128;
export const mostLevels = 7;

/**
 * What tiles are of. Those that a try didn't change are its base's own, so they aren't fetched again.
 * @typedef {{art: string, token: string, width: number, height: number, base?: Source | null, changed?: Set<number>[]}} Source
 * @typedef {{width: number, height: number, color: string | null, bytes: Uint8ClampedArray | null, image: ImageBitmap | null}} Tile
 * @typedef {{source: Source, picture: string, level: number, index: number}} Wanted
 */

/** @param {number} size @param {number} level */
export const shrunk = (size, level) => Math.ceil(size / (1 << level));

/** @param {Source} source @param {number} level */
export const columns = (source, level) => Math.ceil(shrunk(source.width, level) / side);

/** @param {Source} source @param {number} level */
export const rows = (source, level) => Math.ceil(shrunk(source.height, level) / side);

/**
 * What a try makes of a state.
 * @param {Source} of @param {import('./api.js').Tried} tried @returns {Source}
 */
export function triedSource(of, tried) {
  const source = { art: of.art, token: tried.token, width: tried.width, height: tried.height };
  if (tried.resized) return source;
  const across = columns(of, 0);
  const changed = Array.from({ length: mostLevels + 1 }, (_, level) => {
    const wide = columns(of, level);
    return new Set(tried.changedTiles.map(tile => (Math.floor(tile / across) >> level) * wide + (tile % across >> level)));
  });
  return { ...source, base: of, changed };
}

/** The same pixels by another token, as a try that was kept. @param {Source} as @param {string} token @returns {Source} */
export const sameSource = (as, token) => ({ art: as.art, token, width: as.width, height: as.height, base: as, changed: [] });

/** @param {Wanted} wanted @returns {string} */
function keyOf({ source, picture, level, index }) {
  let of = source;
  while (of.base && picture !== 'difference' && !of.changed?.[level]?.has(index)) of = of.base;
  return `${of.token}/${picture}/${level}/${index}`;
}

export class Tiles {
  /** @type {Map<string, Tile>} */ #held = new Map();
  /** @type {Map<string, {tiles: Set<number>, abort: AbortController}>} */ #asked = new Map();
  /** @type {Set<() => void>} */ #watchers = new Set();
  #most;

  /** @param {number} most how many are remembered @param {(error: unknown) => void} failed */
  constructor(most, failed) {
    this.#most = most;
    this.failed = failed;
  }

  /** Told whenever tiles came. @param {() => void} told @returns {() => void} stops it */
  watch(told) {
    this.#watchers.add(told);
    return () => this.#watchers.delete(told);
  }

  /** @param {Source} source @param {string} picture @param {number} level @param {number} index @returns {Tile | undefined} */
  find(source, picture, level, index) {
    const key = keyOf({ source, picture, level, index });
    const tile = this.#held.get(key);
    if (tile) {
      this.#held.delete(key);
      this.#held.set(key, tile);
    }
    return tile;
  }

  /**
   * Fetches what is missing: one request for each picture and level. What somebody else of the same name wanted before is no longer waited for.
   * @param {string} who @param {Wanted[]} wanted
   */
  want(who, wanted) {
    /** @type {Map<string, {of: Wanted, tiles: Set<number>}>} */
    const groups = new Map();
    for (const one of wanted) {
      if (this.#held.has(keyOf(one))) continue;
      const name = `${who}|${one.source.token}|${one.picture}|${one.level}`;
      if (!groups.has(name)) groups.set(name, { of: one, tiles: new Set() });
      groups.get(name)?.tiles.add(one.index);
    }
    for (const [name, running] of this.#asked) {
      if (!name.startsWith(`${who}|`)) continue;
      const group = groups.get(name);
      if (!group || ![...running.tiles].some(index => group.tiles.has(index))) {
        running.abort.abort();
        this.#asked.delete(name);
      }
    }
    for (const [name, group] of groups) if (!this.#asked.has(name)) void this.#fetch(name, group.of, group.tiles);
  }

  /** @param {string} name @param {Wanted} of @param {Set<number>} wanted */
  async #fetch(name, of, wanted) {
    const running = { tiles: wanted, abort: new AbortController() };
    this.#asked.set(name, running);
    const { source, picture, level } = of;
    try {
      for await (const batch of fetchTiles(source.art, { of: source.token, picture, level, tiles: [...wanted] }, running.abort.signal)) {
        await Promise.all(batch.map(async one => this.#keep(keyOf({ ...of, index: one.index }), await tileOf(one, picture))));
        if (this.#asked.get(name) === running) this.#tell();
      }
    } catch (error) {
      // One that failed is asked for again when the picture next moves, not at once and for ever.
      if (!wasAborted(error)) this.failed(error);
      return;
    } finally {
      if (this.#asked.get(name) === running) this.#asked.delete(name);
    }
    this.#tell();
  }

  /** @param {string} key @param {Tile} tile */
  #keep(key, tile) {
    this.#held.set(key, tile);
    for (const [old, { image }] of this.#held) {
      if (this.#held.size <= this.#most) return;
      this.#held.delete(old);
      image?.close();
    }
  }

  #tell() {
    for (const told of this.#watchers) told();
  }
}

/**
 * @param {{width: number, height: number, flat: boolean, bytes: Uint8ClampedArray<ArrayBuffer>}} one @param {string} picture @returns {Promise<Tile>}
 */
async function tileOf({ width, height, flat, bytes }, picture) {
  // Only the art's own bytes are read later: a canvas multiplies by alpha, and loses color where there is little.
  const kept = picture === 'raw' || flat ? bytes : null;
  if (flat) return { width, height, color: `rgb(${bytes[0]} ${bytes[1]} ${bytes[2]} / ${bytes[3] / 255})`, bytes: kept, image: null };
  return { width, height, color: null, bytes: kept, image: await createImageBitmap(new ImageData(bytes, width, height)) };
}

/**
 * The exact bytes of a pixel, or null while its tile is on its way.
 * @param {Tiles} tiles @param {Source} source @param {number} x @param {number} y @returns {number[] | null}
 */
export function pixelAt(tiles, source, x, y) {
  const tile = tiles.find(source, 'raw', 0, Math.floor(y / side) * columns(source, 0) + Math.floor(x / side));
  if (!tile?.bytes) return null;
  const at = tile.color ? 0 : 4 * ((y % side) * tile.width + (x % side));
  return [...tile.bytes.subarray(at, at + 4)];
}
