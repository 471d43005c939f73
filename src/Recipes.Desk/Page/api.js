// The server's routes. Nothing else in the page asks for anything.

/**
 * @typedef {{code: string, severity: string, message: string, hint: string | null, where?: any}} Problem
 * @typedef {[number, number, number, number]} Box x, y, width and height in px of the art
 * @typedef {{name: string, garment: string, platen: {width: number, height: number}, ppi: number, bare: {white: boolean, black: boolean,
 *   transparent: boolean}, bareAs: string, underbase: string}} Setup
 * @typedef {{number: number, box: Box, pixels: number, chosen: boolean, class: string | null}} Region
 * @typedef {{code: string, message: string, pixels: number | null, box: Box | null, recipe: string | null, set: string | null}} Finding
 * @typedef {{code: string, recipe: string, message: string, regions: Region[], box: Box | null, proposal: string, answer: string | null,
 *   decision?: string | null}} Question
 * @typedef {{prints: number, bareWhite: number, bareBlack: number, transparent: number}} Ink
 * @typedef {{step: number, state: 'done' | 'undone', recipe: {name: string, title: string}, parameters: Record<string, string>, at: string,
 *   by: string | null, changed: any, ink: any}} Step
 * @typedef {{token: string, art: {id: string, name: string, path: string, sha256: string, width: number, height: number, ppi: number, format: string,
 *   notes: string[]}, kind: string, setup: Setup, setupIsFallback: boolean, step: number, head: number, steps: Step[], ink: Ink, inkBox: Box | null,
 *   printPpi: number, effectivePpi: number, findings: Finding[], questions: Question[], decided: Question[], regions: Region[],
 *   colors: {rgb: string, mm2: number, share: number}[], notes: {at: string, by: string | null, text: string}[],
 *   export: {path?: string, current?: boolean, message?: string} | null, lastBad: string | null}} ArtState
 * @typedef {{name: string, policy: string, pixels: number | null, outcome: string, box: Box | null, why: string | null}} Guard
 * @typedef {{recipe: any, parameters: Record<string, string>, changed: {pixels: number, box: Box, maxDelta: number} | null,
 *   ink: {before: Ink, after: Ink, gained: number, lost: number}, guards: Guard[], questions: Question[],
 *   regions: {title: string, regions: Region[]}[], whites?: Region[], resolution?: {before: number, after: number} | null, notes: string[],
 *   left?: Finding[]}} Report `whites` are those that a step decides
 *   on which of them prints
 * @typedef {{token: string, report: Report, refusal: Problem | null, repeat: Problem | null, width: number, height: number, resized: boolean,
 *   changedTiles: number[], nothing?: boolean}} Tried `nothing`: there is nothing to keep
 * @typedef {{name: string, type: string, takes: string, default: string | null, min: number | null, max: number | null, choices: string[],
 *   help: string | null}} Parameter
 * @typedef {{name: string, title: string, purpose: string, parts: {name: string, sets: string[], parameters: Parameter[]}[], list: boolean}} Recipe
 * @typedef {{id: string, list: string, row?: number, label?: string | null, order?: string | null, shipBy?: string | null,
 *   art?: {id: string, name: string} | null, garment?: string | null, garmentInWords?: string | null, setup?: string | null, cloth?: string | null,
 *   sizes?: string | null, place?: string | null, quantity?: number | string | null, recipe?: string | null, values?: Record<string, string>,
 *   stem?: string | null, state: 'needs-you' | 'ready' | 'done' | 'printed-badly', why?: string | null, problems: Problem[]}} Order of a row that can't
 *   be read there is little more than its problems
 * @typedef {{version: string, by: string | null, folders: {id: string, name: string, path: string}[], setups: Setup[], garments: {name: string,
 *   style: string, color: string, fiber: string, setup: string}[], chosenSetup: string | null,
 *   recipes: {name: string, title: string, purpose?: string, list: boolean}[]}} Shop
 * @typedef {{id: string, folder: string, name: string, bytes: number, modified: string, worked: boolean}} Art
 * @typedef {{order?: string, quantity?: string, garment?: string, sizes?: string, place?: string, note?: string}} Ticket
 */

/** What the server answered in place of what was asked for. */
export class Refused extends Error {
  /** @param {number} status @param {Problem[]} problems */
  constructor(status, problems) {
    super(problems.map(problem => problem.message).join(' '));
    this.status = status;
    this.problems = problems;
  }
}

const keyName = 'desk.key';

/** Told when the key isn't known any more. @type {() => void} */
let lost = () => {};

/** @param {() => void} told */
export const onLost = told => { lost = told; };

/** @param {string} message @param {string} hint @param {string} code @returns {Problem} */
const own = (message, hint, code = '') => ({ code, severity: 'error', message, hint });

/** Anything that failed, as problems to show. @param {unknown} error @returns {Problem[]} */
export const problemsOf = error => error instanceof Refused ? error.problems : [own(error instanceof Error ? error.message : String(error), '')];

/** True where what the page shows is no longer what there is: somebody kept a step, or the program forgot it. @param {Problem[]} problems */
export const isOld = problems => problems.some(({ code }) => ['R6001', 'R6002', 'R6402'].includes(code));

/** @param {unknown} error */
export const wasAborted = error => error instanceof DOMException && error.name === 'AbortError';

/**
 * @param {string} path @param {{method?: string, body?: any, raw?: Blob, signal?: AbortSignal}} [how]
 * @returns {Promise<Response>} one that went well
 */
async function request(path, how = {}) {
  /** @type {Record<string, string>} */
  const headers = { authorization: `Desk ${sessionStorage.getItem(keyName) ?? ''}` };
  if (how.body !== undefined) headers['content-type'] = 'application/json';
  let answer;
  try {
    answer = await fetch(path, { method: how.method ?? (how.body === undefined ? 'GET' : 'POST'), headers, signal: how.signal,
      body: how.raw ?? (how.body === undefined ? undefined : JSON.stringify(how.body)) });
  } catch (error) {
    if (wasAborted(error)) throw error;
    throw new Refused(0, [own("The desk's program doesn't answer.", 'Look whether it still runs in its window; what was kept is safe.')]);
  }
  if (answer.ok) return answer;
  if (answer.status === 401) lost();
  const said = await answer.json().catch(() => null);
  throw new Refused(answer.status, said?.problems?.length ? said.problems : [answer.status === 401
    ? own('This page has lost its key.', "Start it again from the desk's window, or paste a link.")
    : own(`The desk's program answered ${answer.status} and nothing else.`, 'Try again; if it stays so, start the desk again.')]);
}

/** @param {string} path @returns {Promise<any>} */
export const get = async path => (await request(path)).json();

/** @param {string} path @param {any} body @param {AbortSignal} [signal] @returns {Promise<any>} */
export const post = async (path, body, signal) => (await request(path, { body, signal })).json();

/** @param {string} path @param {Blob} raw @returns {Promise<any>} */
export const put = async (path, raw) => (await request(path, { method: 'PUT', raw })).json();

/** @param {string} id @param {string} act */
export const artPath = (id, act) => `/api/arts/${encodeURIComponent(id)}/${act}`;

/** Exchanges a link's code for the key that this tab keeps. @param {string} code */
export async function enter(code) {
  const { key } = await post('/api/session', { code });
  sessionStorage.setItem(keyName, key);
}

/** @returns {boolean} */
export const hasKey = () => sessionStorage.getItem(keyName) !== null;

/** A recipe or list in one form: a recipe is a list of itself. @param {string} name @returns {Promise<Recipe>} */
export async function recipe(name) {
  const { recipe: one, list } = await get(`/api/recipe?name=${encodeURIComponent(name)}`);
  return one ? { name: one.name, title: one.title, purpose: one.purpose ?? '', list: false, parts: [{ name: one.name, sets: [], parameters: one.parameters }] }
    : { name: list.name, title: list.title, purpose: '', list: true, parts: list.recipes };
}

/**
 * The lines of a streamed answer, parsed as they come.
 * @param {string} path @param {any} body @param {AbortSignal} signal @returns {AsyncGenerator<any>}
 */
export async function* lines(path, body, signal) {
  const reader = /** @type {ReadableStream<Uint8Array>} */ ((await request(path, { body, signal })).body).getReader();
  const decoder = new TextDecoder();
  for (let text = '';;) {
    const { done, value } = await reader.read();
    text += done ? decoder.decode() : decoder.decode(value, { stream: true });
    const parts = (done ? `${text}\n` : text).split('\n');
    text = /** @type {string} */ (parts.pop());
    for (const part of parts) if (part.trim()) yield JSON.parse(part);
    if (done) return;
  }
}

/**
 * Tiles as they come: batches of what one read held.
 * @param {string} id @param {{of: string, picture: string, level: number, tiles: number[]}} body @param {AbortSignal} signal
 * @returns {AsyncGenerator<{index: number, width: number, height: number, flat: boolean, bytes: Uint8ClampedArray<ArrayBuffer>}[]>}
 */
export async function* tiles(id, body, signal) {
  const reader = /** @type {ReadableStream<Uint8Array>} */ ((await request(artPath(id, 'tiles'), { body, signal })).body).getReader();
  let held = new Uint8Array(0);
  for (;;) {
    const { done, value } = await reader.read();
    if (done) return;
    const all = new Uint8Array(held.length + value.length);
    all.set(held);
    all.set(value, held.length);
    const view = new DataView(all.buffer);
    const batch = [];
    let at = 0;
    while (at + 9 <= all.length) {
      const width = view.getUint16(at + 4, true), height = view.getUint16(at + 6, true), flat = view.getUint8(at + 8) === 0;
      const end = at + 9 + (flat ? 4 : 4 * width * height);
      if (end > all.length) break;
      batch.push({ index: view.getInt32(at, true), width, height, flat, bytes: new Uint8ClampedArray(all.buffer.slice(at + 9, end)) });
      at = end;
    }
    held = all.subarray(at);
    if (batch.length) yield batch;
  }
}
