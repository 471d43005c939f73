// What was kept: steps, notes, the exported picture; and the end of the work, a ticket.
import { button, el, fill } from './dom.js';
import { caution, when } from './words.js';

/** @typedef {import('./api.js').ArtState} ArtState @typedef {import('./api.js').Ticket} Ticket */

/** @type {[keyof Ticket, string][]} */
const fields = [['order', 'Order'], ['quantity', 'Quantity'], ['garment', 'Garment'], ['sizes', 'Sizes'], ['place', 'Place'], ['note', 'Note']];

export class RecordPanel {
  /**
   * @param {{undo: (to?: number) => void, redo: () => void, note: (text: string) => Promise<boolean>, exported: () => void,
   *   finish: (ticket: Ticket) => void}} acts
   * @param {Ticket} ticket what an order says
   */
  constructor(acts, ticket) {
    this.acts = acts;
    this.steps = el('ol.steps');
    this.notes = el('ul.notes');
    this.exported = el('p.help');
    this.undoButton = button('Put back the last step', () => acts.undo());
    this.redoButton = button('Do it again', () => acts.redo());
    const note = el('input', { type: 'text', id: 'note', maxlength: 500, autocomplete: 'off' });
    const noteForm = el('form.row', { submit: async (/** @type {Event} */ event) => {
      event.preventDefault();
      if (note.value.trim() && await acts.note(note.value.trim())) note.value = '';
    } }, note, el('button', {}, 'Leave the note'));
    this.inputs = fields.map(([name, words]) => ({ name, input: el('input', { type: 'text', id: `ticket-${name}`, maxlength: 200, autocomplete: 'off',
      value: ticket[name] ?? '' }), words }));
    this.finishButton = el('button.main');
    this.offer(false);
    const finish = el('form', { submit: (/** @type {Event} */ event) => {
      event.preventDefault();
      acts.finish(this.ticket());
    } }, this.inputs.map(({ input, words, name }) => el('div.field', {}, el('label', { for: `ticket-${name}` }, words), input)),
      el('p.caution', {}, caution), this.finishButton);
    this.root = el('div', {},
      el('details.more', { open: true }, el('summary', {}, 'Kept steps'), this.steps, el('div.row', {}, this.undoButton, this.redoButton)),
      el('details.more', {}, el('summary', {}, 'Notes for the next shift'), this.notes, el('label', { for: 'note' }, 'A new note'), noteForm),
      el('details.more', { open: Boolean(ticket.order) }, el('summary', {}, 'Finish'), this.exported,
        el('div.row', {}, button('Only export the picture', () => acts.exported())), finish));
  }

  /** What a finish does. @param {boolean} tried a try is shown, which is kept first */
  offer(tried) {
    this.finishButton.textContent = tried ? 'Keep this try and finish: export, ticket' : 'Finish: export and write the ticket';
  }

  /** @returns {Ticket} what was filled in */
  ticket() {
    return Object.fromEntries(this.inputs.map(({ name, input }) => [name, input.value.trim()]).filter(([, value]) => value));
  }

  /** @param {ArtState} state */
  show(state) {
    fill(this.steps, el('li', { 'aria-current': state.step === 0 ? 'step' : null }, 'As it came', state.step > 0 && this.#back(0)), state.steps.map(step => {
      const undone = step.state === 'undone', now = step.step === state.step;
      return el('li', { 'aria-current': now ? 'step' : null, class: undone ? 'undone' : null }, el('strong', {}, step.recipe.title || step.recipe.name),
        el('small', {}, ` ${[when(step.at), step.by, undone && 'put back'].filter(Boolean).join(', ')}`), !undone && !now && this.#back(step.step),
        valuesOf(step.parameters));
    }));
    this.undoButton.disabled = state.step === 0;
    this.redoButton.disabled = !state.steps.some(step => step.state === 'undone');
    fill(this.notes, state.notes.map(note => el('li', {}, note.text, el('small', {}, ` ${when(note.at)}${note.by ? `, ${note.by}` : ''}`))),
      state.notes.length === 0 && el('li', {}, 'None yet.'));
    this.exported.textContent = state.export ? [state.export.message, state.export.path].filter(Boolean).join(' ') : 'Not exported yet.';
  }

  /** @param {number} step */
  #back = step => button('go back here', () => this.acts.undo(step), { label: step ? `go back here: step ${step}` : 'go back here: the art as it came' });
}

/** @param {Record<string, string>} values */
function valuesOf(values) {
  const said = Object.entries(values ?? {}).filter(([, value]) => value !== '');
  const rows = said.map(([name, value]) => el('li', {}, `${name}: ${value}`));
  return rows.length > 0 && el('details', {}, el('summary', {}, 'with what values'), el('ul', {}, rows));
}
