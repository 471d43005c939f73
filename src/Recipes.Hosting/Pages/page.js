'use strict';
(() => {
  const all = (selector, root = document) => [...root.querySelectorAll(selector)];
  const root = document.documentElement, body = document.body;
  const readout = document.getElementById('readout'), pixel = document.getElementById('pixel');
  const boxed = document.getElementById('boxed'), boxField = document.getElementById('box');
  const panes = all('.panes');
  root.classList.add('js');

  // Pixels. A group of pictures shows one window of the art; its exact pixels ride along as deflated RGBA where
  // one pixel of the picture is one pixel of the art, otherwise the picture itself is read and is an average.
  const cache = new WeakMap();
  const unpack = async text => {
    const bytes = Uint8Array.from(atob(text), c => c.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate-raw'));
    return new Uint8Array(await new Response(stream).arrayBuffer());
  };
  const drawn = image => {
    const canvas = document.createElement('canvas');
    canvas.width = image.naturalWidth;
    canvas.height = image.naturalHeight;
    const context = canvas.getContext('2d', { willReadFrequently: true });
    context.drawImage(image, 0, 0);
    return { width: canvas.width, data: context.getImageData(0, 0, canvas.width, canvas.height).data, exact: false };
  };
  const load = async group => {
    const exact = typeof DecompressionStream === 'function';
    const sides = [];
    for (const [i, side] of ['before', 'after'].entries()) {
      const packed = group.dataset[side];
      const image = all('img', group)[i];
      if (packed && exact) sides.push({ side, width: +group.dataset.width, data: await unpack(packed), exact: true });
      else if (image && !(i === 1 && group.dataset.single)) sides.push({ side, ...drawn(image) });
    }
    return sides;
  };
  const pixelsOf = shown => {
    const group = shown.dataset.same ? document.querySelector(`[data-group="${shown.dataset.same}"]`) : shown;
    if (!cache.has(group)) cache.set(group, load(group));
    return cache.get(group);
  };
  const stateOf = ([r, g, b, a]) => {
    const rule = body.dataset;
    if (a === 0 && rule.transparentBare === '1') return 'bare: transparent';
    if ((r & g & b) === 255 && rule.whiteBare === '1') return 'bare: pure white';
    if ((r | g | b) === 0 && rule.blackBare === '1') return 'bare: pure black';
    return 'prints';
  };
  const hex = rgb => '#' + rgb.slice(0, 3).map(v => v.toString(16).padStart(2, '0')).join('');

  // The cursor: a picture, and a place in it in pixels of that picture.
  let cursor = null, corner = null;
  const frame = (sheet, style) => {
    let mark = sheet.querySelector('.' + style);
    if (!mark) {
      mark = document.createElement('div');
      mark.className = style;
      sheet.append(mark);
    }
    return mark;
  };
  const place = (mark, sheet, box) => {
    const image = sheet.querySelector('img'), across = image.naturalWidth, down = image.naturalHeight;
    mark.style.left = box.x / across * 100 + '%';
    mark.style.top = box.y / down * 100 + '%';
    mark.style.width = box.w / across * 100 + '%';
    mark.style.height = box.h / down * 100 + '%';
  };
  const between = (a, b) => ({ x: Math.min(a.x, b.x), y: Math.min(a.y, b.y), w: Math.abs(a.x - b.x) + 1, h: Math.abs(a.y - b.y) + 1 });
  const inArt = (group, box) => {
    const d = group.dataset, n = +d.shrink, x = +d.x + box.x * n, y = +d.y + box.y * n;
    return { x, y, w: Math.min(box.w * n, +d.x + +d.width - x), h: Math.min(box.h * n, +d.y + +d.height - y) };
  };
  const part = (text, color) => {
    const span = document.createElement('span');
    if (color) {
      const swatch = document.createElement('i');
      swatch.style.backgroundColor = color;
      span.append(swatch);
    }
    span.append(text);
    return span;
  };
  const point = async (sheet, x, y) => {
    const image = sheet.querySelector('img'), group = sheet.closest('[data-group]');
    x = Math.max(0, Math.min(image.naturalWidth - 1, x));
    y = Math.max(0, Math.min(image.naturalHeight - 1, y));
    cursor = { sheet, group, x, y };
    for (const old of all('.cross')) if (old.closest('[data-group]') !== group) old.remove();
    for (const other of all('.sheet', group)) place(frame(other, 'cross'), other, { x, y, w: 1, h: 1 });
    const at = inArt(group, { x, y, w: 1, h: 1 });
    const sides = await pixelsOf(group);
    if (!cursor || cursor.x !== x || cursor.y !== y || cursor.group !== group) return;
    const parts = [part(`x ${at.x}, y ${at.y}`)];
    for (const { side, width, data, exact } of sides) {
      const rgba = [...data.slice((y * width + x) * 4, (y * width + x) * 4 + 4)];
      if (rgba.length < 4) continue;
      const name = group.dataset.single ? '' : side + ' ';
      parts.push(part(exact
        ? `${name}${hex(rgba)}${rgba[3] < 255 ? ' alpha ' + rgba[3] : ''}, ${stateOf(rgba)}`
        : `${name}${hex(rgba)}`, hex(rgba)));
    }
    if (sides.some(side => !side.exact)) parts.push(part(+group.dataset.shrink > 1
      ? `an average of ${group.dataset.shrink} × ${group.dataset.shrink} px as shown on the garment; exact values are in the spots below`
      : 'as shown on the garment'));
    pixel.replaceChildren(...parts);
    readout.hidden = false;
  };
  const showBox = (group, from, to) => {
    for (const old of all('.band')) if (old.closest('[data-group]') !== group) old.remove();
    const box = between(from, to);
    for (const sheet of all('.sheet', group)) place(frame(sheet, 'band'), sheet, box);
    const art = inArt(group, box);
    boxField.value = [art.x, art.y, art.w, art.h].map(side => `${side}px`).join(',');
    boxed.hidden = readout.hidden = false;
  };
  const clear = () => {
    all('.cross, .band').forEach(mark => mark.remove());
    cursor = corner = null;
    readout.hidden = boxed.hidden = true;
  };
  boxField.addEventListener('focus', () => boxField.select());

  for (const sheet of all('.sheet')) {
    let start = null;
    const at = event => {
      const image = sheet.querySelector('img'), bounds = image.getBoundingClientRect();
      const clamp = (v, most) => Math.max(0, Math.min(most - 1, Math.floor(v)));
      return {
        x: clamp((event.clientX - bounds.left) / bounds.width * image.naturalWidth, image.naturalWidth),
        y: clamp((event.clientY - bounds.top) / bounds.height * image.naturalHeight, image.naturalHeight),
      };
    };
    sheet.addEventListener('pointerdown', event => {
      if (event.button !== 0 || event.target.closest('a')) return;
      start = { ...at(event), cx: event.clientX, cy: event.clientY, drag: false };
      if (event.pointerType === 'mouse') sheet.setPointerCapture(event.pointerId);
    });
    sheet.addEventListener('pointermove', event => {
      if (!start) return;
      start.drag ||= Math.hypot(event.clientX - start.cx, event.clientY - start.cy) > 3;
      if (start.drag) showBox(sheet.closest('[data-group]'), start, at(event));
    });
    sheet.addEventListener('pointerup', event => {
      if (!start) return;
      const end = at(event);
      if (start.drag) showBox(sheet.closest('[data-group]'), start, end);
      point(sheet, end.x, end.y);
      start = null;
    });
    sheet.addEventListener('pointercancel', () => { start = null; });
  }

  // The overview: all panes at one zoom and one place.
  let zoom = 1;
  const views = all('.view');
  const setZoom = next => {
    const view = views[0];
    if (!view) return;
    const cx = (view.scrollLeft + view.clientWidth / 2) / view.scrollWidth, cy = (view.scrollTop + view.clientHeight / 2) / view.scrollHeight;
    zoom = Math.max(1, Math.min(32, next));
    for (const other of views) {
      const image = other.querySelector('img');
      other.querySelector('.sheet').style.width = zoom * 100 + '%';
      image.style.imageRendering = other.clientWidth * zoom > image.naturalWidth * 1.5 ? 'pixelated' : 'auto';
      other.scrollLeft = cx * other.scrollWidth - other.clientWidth / 2;
      other.scrollTop = cy * other.scrollHeight - other.clientHeight / 2;
    }
  };
  let leading = null;
  for (const view of views) {
    view.addEventListener('scroll', () => {
      if (leading && leading !== view) return;
      leading = view;
      for (const other of views) {
        if (other === view) continue;
        other.scrollLeft = view.scrollLeft;
        other.scrollTop = view.scrollTop;
      }
      requestAnimationFrame(() => { leading = null; });
    });
  }
  const acts = {
    in: () => setZoom(zoom * 1.5),
    out: () => setZoom(zoom / 1.5),
    fit: () => setZoom(1),
    own: () => views[0] && setZoom(views[0].querySelector('img').naturalWidth / views[0].clientWidth),
    marks: () => {
      const hidden = !panes[0].classList.contains('unmarked');
      panes.forEach(pane => pane.classList.toggle('unmarked', hidden));
      document.querySelector('[data-act=marks]').setAttribute('aria-pressed', String(!hidden));
    },
  };
  all('[data-act]').forEach(button => button.addEventListener('click', () => acts[button.dataset.act]()));

  // Spots: the marks in the overview and the closer looks below belong together.
  const spots = all('.spot');
  const select = (spot, focus) => {
    all('.current').forEach(old => old.classList.remove('current'));
    spot.classList.add('current');
    all(`a[data-spot="${spot.dataset.spot}"]`).forEach(mark => mark.classList.add('current'));
    if (focus) {
      spot.focus({ preventScroll: true });
      spot.scrollIntoView({ block: 'nearest' });
    }
    for (const view of views) {
      const mark = view.querySelector('a.current rect');
      if (!mark || zoom === 1) continue;
      const a = mark.getBoundingClientRect(), b = view.getBoundingClientRect();
      view.scrollLeft += a.left + a.width / 2 - b.left - b.width / 2;
      view.scrollTop += a.top + a.height / 2 - b.top - b.height / 2;
    }
  };
  all('a[data-spot]').forEach(mark => mark.addEventListener('click', event => {
    const spot = document.getElementById(mark.dataset.spot);
    if (!spot) return;
    event.preventDefault();
    select(spot, true);
  }));
  spots.forEach(spot => spot.addEventListener('focusin', () => spot.classList.contains('current') || select(spot, false)));

  document.addEventListener('keydown', event => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest('input')) return;
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    const focused = document.activeElement?.closest('.sheet, .view');
    const sheet = focused?.matches('.view') ? focused.querySelector('.sheet') : focused;
    if (step && event.shiftKey) {
      if (!sheet) return;
      const image = sheet.querySelector('img');
      const from = cursor?.sheet === sheet ? cursor : { x: image.naturalWidth >> 1, y: image.naturalHeight >> 1 };
      point(sheet, from.x + step[0], from.y + step[1]);
      if (corner?.sheet === sheet) showBox(sheet.closest('[data-group]'), corner, cursor);
    } else if (step) {
      // In an enlarged view the arrows scroll, as everywhere; up and down always scroll the page.
      if (!spots.length || (step[1] && !document.activeElement?.closest('.spot')) || (focused?.matches('.view') && zoom > 1)) return;
      const at = spots.findIndex(spot => spot.classList.contains('current'));
      const next = at < 0 ? 0 : Math.max(0, Math.min(spots.length - 1, at + step[0] + step[1]));
      select(spots[next], true);
    } else if (event.key === '+' || event.key === '=') acts.in();
    else if (event.key === '-') acts.out();
    else if (event.key === '0') acts.fit();
    else if (event.key === 'Escape') clear();
    else if (event.key === 'Enter' && sheet && cursor?.sheet === sheet) {
      if (corner?.sheet === sheet) {
        showBox(cursor.group, corner, cursor);
        corner = null;
      } else corner = { ...cursor };
    } else return;
    event.preventDefault();
  });
})();
