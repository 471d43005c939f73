// The pictures of the desk's folders, newest first, with a search.
import { get, problemsOf, wasAborted } from './api.js';
import { el, fill, later, problemList } from './dom.js';
import { counted, size, when } from './words.js';

export class Arts {
  /** @param {import('./desk.js').Desk} desk */
  constructor(desk) {
    this.desk = desk;
    this.search = el('input', { type: 'search', id: 'art-search', autocomplete: 'off', input: later(() => void this.open(), 120) });
    this.list = el('ul.arts');
    this.more = el('p.help');
    this.root = el('div.shelf', {}, el('h1', { tabindex: -1 }, 'Open an art'), el('p', {}, 'Choose one, or drop a file anywhere on this page.'),
      el('label', { for: 'art-search' }, 'Find by name'), this.search, this.list, this.more,
      el('p.help', {}, `Folders: ${desk.shop.folders.map(folder => folder.path).join(', ')}`));
  }

  async open() {
    try {
      const { arts, more } = await get(`/api/arts?search=${encodeURIComponent(this.search.value)}`);
      const folders = new Map(this.desk.shop.folders.map(folder => [folder.id, folder.name]));
      const row = (/** @type {import('./api.js').Art} */ art) => {
        const facts = [folders.size > 1 && folders.get(art.folder), when(art.modified), size(art.bytes), art.worked && 'worked on'].filter(Boolean);
        return el('li', {}, el('a', { href: `#art=${encodeURIComponent(art.id)}` }, el('strong', {}, art.name), el('small', {}, facts.join(', '))));
      };
      const none = this.search.value ? 'No art has this in its name.' : 'No art in the folders yet: drop a file here.';
      fill(this.list, arts.map(row), arts.length === 0 && el('li', {}, none));
      this.more.textContent = more ? `${counted(more, 'more art')}: type some of the name.` : '';
    } catch (error) {
      if (!wasAborted(error)) fill(this.list, el('li', {}, problemList(problemsOf(error))));
    }
  }

  stop() {}
}
