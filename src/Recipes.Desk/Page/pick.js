// What a control asks the picture for: a color or a box.
import { say } from './dom.js';
import { pixelAt } from './tiles.js';

/**
 * @param {import('./viewer.js').Viewer} viewer @param {import('./loupe.js').Loupe} loupe @param {import('./tiles.js').Tiles} tiles
 * @param {(color: string) => void} done
 */
export function pickColor(viewer, loupe, tiles, done) {
  // The loupe shows what is about to be picked, and gives keys a cross to move.
  if (!loupe.on) loupe.turn(true);
  say('Press a color in the picture, or move the cross with arrow keys and press Enter. Escape ends it.');
  viewer.ask({ kind: 'color', done: at => {
    const source = viewer.after;
    viewer.point(at);
    const cross = viewer.cross;
    if (!source || !cross) return;
    const read = () => {
      const pixel = pixelAt(tiles, source, cross.x, cross.y);
      if (!pixel) return;
      stop();
      done(`#${pixel.slice(0, 3).map(channel => channel.toString(16).padStart(2, '0')).join('')}`);
    };
    const stop = tiles.watch(read);
    read();
  } });
}

/** @param {import('./viewer.js').Viewer} viewer @param {(box: string) => void} done */
export function drawBox(viewer, done) {
  say('Drag a box in the picture. Escape ends it; it can be typed as well.');
  viewer.ask({ kind: 'box', done: ({ x, y, width, height }) => done([x, y, width, height].map(side => `${side}px`).join(',')) });
}
