// Region numbers as parameters take them, such as 2,5,7-9, and which parameter a press on a region changes.

/** @param {string | undefined} text @returns {Set<number>} */
export function numbersOf(text) {
  const found = new Set();
  for (const part of (text ?? '').split(',')) {
    const [, first, last] = /^\s*(\d{1,6})(?:\s*-\s*(\d{1,6}))?\s*$/.exec(part) ?? [];
    if (!first) continue;
    for (let number = +first; number <= Math.min(+(last ?? first), +first + 100000); number++) found.add(number);
  }
  return found;
}

/** @param {Iterable<number>} numbers @returns {string} */
export function textOf(numbers) {
  const sorted = [...new Set(numbers)].sort((a, b) => a - b), parts = [];
  for (let first = 0, last; first < sorted.length; first = last + 1) {
    last = first;
    while (sorted[last + 1] === sorted[last] + 1) last++;
    parts.push(last - first > 1 ? `${sorted[first]}-${sorted[last]}` : sorted.slice(first, last + 1).join(','));
  }
  return parts.join(',');
}

/** @param {string | undefined} text @param {Iterable<number>} more */
export const withNumbers = (text, more) => textOf([...numbersOf(text), ...more]);

/** @param {string | undefined} text @param {number} number @param {boolean} present */
function put(text, number, present) {
  const numbers = numbersOf(text);
  if (present) numbers.add(number);
  else numbers.delete(number);
  return textOf(numbers);
}

/**
 * Whether a region is chosen by what stands in the form now: the last judged try may be older.
 * @param {Record<string, string>} values @param {(name: string) => string} named a parameter's full name @param {import('./api.js').Region} region
 */
export function chosenNow(values, named, { number, chosen }) {
  return numbersOf(values[named('also')]).has(number) || (chosen && !numbersOf(values[named('except')]).has(number));
}

/**
 * The values with one region switched: what is chosen goes to `except`, what isn't to `also`; and what a value said before is taken back first.
 * @param {Record<string, string>} values @param {(name: string) => string} named @param {Set<string>} has which of only, except and also there are
 * @param {import('./api.js').Region} region @returns {Record<string, string>}
 */
export function switched(values, named, has, region) {
  const only = named('only'), except = named('except'), also = named('also'), { number } = region;
  const on = chosenNow(values, named, region);
  const next = { ...values };
  if (on && numbersOf(values[also]).has(number)) {
    next[also] = put(values[also], number, false);
  } else if (on && numbersOf(values[only]).size) {
    next[only] = put(values[only], number, false);
    // The last one taken from `only` would mean all.
    if (!next[only]) next[except] = put(values[except], number, true);
  } else if (on) {
    next[except] = put(values[except], number, true);
  } else if (numbersOf(values[except]).has(number)) {
    next[except] = put(values[except], number, false);
  } else {
    const into = has.has('also') ? also : only;
    next[into] = put(values[into], number, true);
  }
  return next;
}

/**
 * Values with a question's answer such as `also=8` among them. Numbers join those that are there.
 * @param {Record<string, string>} values @param {string} answer @param {(name: string) => string} named
 */
export function answered(values, answer, named) {
  const at = answer.indexOf('='), name = named(answer.slice(0, at).trim()), value = answer.slice(at + 1).trim();
  return { ...values, [name]: /^[\d,\- ]+$/.test(value) && /(?:only|except|also)$/.test(name) ? withNumbers(values[name], numbersOf(value)) : value };
}

/**
 * A parameter's full name: in a list it is said with its recipe's.
 * @param {boolean} list @param {string} recipe @returns {(name: string) => string}
 */
export const namedFor = (list, recipe) => name => {
  const bare = name.startsWith(`${recipe}.`) ? name.slice(recipe.length + 1) : name;
  return list ? `${recipe}.${bare}` : bare;
};

/**
 * The numbered regions of a try: those of the step that decides which whites print, else of what was reported last.
 * @param {import('./api.js').Report | undefined} report @returns {import('./api.js').Region[] | undefined}
 */
export const regionsOf = report => report?.whites?.length ? report.whites : report?.regions.findLast(list => list.regions.length)?.regions;
