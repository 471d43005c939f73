// Sentences and numbers as a shop says them.

const grouped = new Intl.NumberFormat('en-US', { maximumFractionDigits: 0 });
const dated = new Intl.DateTimeFormat('en-US', { month: 'short', day: 'numeric', hour: 'numeric', minute: '2-digit' });
const weekday = new Intl.DateTimeFormat('en-US', { weekday: 'short', month: 'short', day: 'numeric' });

/** @param {number} value */
export const number = value => grouped.format(value);

/** @param {number} count @param {string} one @param {string} [many] */
export const counted = (count, one, many = `${one}s`) => `${number(count)} ${count === 1 ? one : many}`;

/** An area as people read it. @param {number} pixels @param {number} ppi */
export function area(pixels, ppi) {
  const mm2 = pixels * (25.4 / ppi) ** 2;
  return mm2 >= 100 ? `${(mm2 / 100).toFixed(1)} cm²` : mm2 >= 1 ? `${mm2.toFixed(1)} mm²` : `${mm2.toPrecision(2)} mm²`;
}

/** @param {number} bytes */
export const size = bytes => bytes >= 1e6 ? `${(bytes / 1e6).toFixed(1)} MB` : `${Math.ceil(bytes / 1e3)} kB`;

/** @param {string} text an ISO date and time */
export const when = text => isNaN(Date.parse(text)) ? text : dated.format(new Date(text));

/** A day as an order states it, which is no moment and has no time zone. @param {string} text */
export function day(text) {
  const parts = /^(\d{4})-(\d{2})-(\d{2})/.exec(text);
  return parts ? weekday.format(new Date(+parts[1], +parts[2] - 1, +parts[3])) : text;
}

/** @param {number} width @param {number} height px @param {number} ppi */
export const printed = (width, height, ppi) => `${(width / ppi).toFixed(1)} × ${(height / ppi).toFixed(1)} in`;

/**
 * What a judged try would change.
 * @param {import('./api.js').Tried} tried @param {number} ppi
 */
export function changes({ report, resized, width, height }, ppi) {
  const { changed, ink } = report;
  if (resized) return `The picture becomes ${number(width)} × ${number(height)} px.`;
  if (!changed || changed.pixels === 0) return 'Nothing changes.';
  return `${counted(changed.pixels, 'pixel changes', 'pixels change')} (${area(changed.pixels, ppi)}), by at most ${counted(changed.maxDelta, 'level')}. `
    + inkWords(ink, ppi);
}

/** @param {{gained: number, lost: number}} ink @param {number} ppi */
function inkWords({ gained, lost }, ppi) {
  const parts = [gained && `${area(gained, ppi)} more will print`, lost && `${area(lost, ppi)} less will print`].filter(Boolean);
  return parts.length ? `${parts.join('; ')}.` : 'What prints stays the same.';
}

/** @type {Record<string, string>} */
const outcomes = { noted: 'Look at this', protected: 'Pixels were put back', allowed: 'Allowed', refused: 'Refused' };

/** A guardrail that has something to say. @param {import('./api.js').Guard} guard @param {number} ppi */
export const guardWords = (guard, ppi) => `${outcomes[guard.outcome] ?? guard.outcome}: ${guard.name.replaceAll('-', ' ')}`
  + `${guard.pixels ? `, ${area(guard.pixels, ppi)}` : ''}.${guard.why ? ` ${guard.why}` : ''}`;

/** A setup in words: what its cloth leaves bare. @param {import('./api.js').Setup} setup */
export function setupWords({ bare, underbase }) {
  const left = [bare.white && 'white', bare.black && 'black', bare.transparent && 'nothing drawn'].filter(Boolean);
  return `${left.length ? `${list(left)} stays bare` : 'everything prints'}; underbase: ${String(underbase ?? 'none').replaceAll('-', ' ')}`;
}

/** @param {(string | false)[]} parts */
const list = parts => parts.length < 2 ? `${parts[0] ?? ''}` : `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;

/** What an order is called. @param {import('./api.js').Order} order */
export const orderName = ({ order, label, row, list: file }) => order || label || `row ${row ?? '?'} of ${file}`;

/** @type {Record<string, string>} */
export const orderStates = { 'needs-you': 'Needs you', ready: 'Ready', 'printed-badly': 'Printed badly', done: 'Done' };

export const simulated = 'What you see on cloth is a simulation.';
export const keys = 'In the picture: arrow keys move, + and − zoom, 0 fits, 1 shows true pixels, B held shows before.';
export const caution = "Before you print: the instructions of the makers of your inks, pretreatment and heat press come first.";
