/**
 * Forms of lines: `TIME cools towards TEMP` is a line in which two quantities stand among fixed words. The
 * forms that the parser reads are the very ones that the page about scenarios lists.
 *
 * In a form, CAPITALS hold a place for a quantity, `a/b` is either word, `[…]` may be left out. END and WHEN
 * stand for short forms of their own.
 */
import { quantities } from './quantities.ts';

/** What a line gave: its quantities by their name in the order in which they stand, and the words chosen. */
export type Found = {
  number(name: string, at?: number): number;
  text(name: string, at?: number): string;
  has(name: string): boolean;
  /** Whether this word stands in the line. */
  says(word: string): boolean;
  /** Whether the form of WHEN that was used begins with this word. */
  starts(word: string): boolean;
};

/** One form, and what is done with a line of it; `take` returns what is wrong with it, or null. */
export type Form<To> = { form: string; take: (found: Found, to: To) => LineFault | null };

/** Completes "… must be <must>, got <got>. <doThis>". */
export type LineFault = { what: string; must: string; got: string; doThis: string };

const placePattern = /[A-Z]{4,}/g;

/** A span may be followed by words, so it says itself where it ends. */
const spanPattern = '([\\d.]+\\s*(?:ms|s|min|m|hours?|h|days?|d)(?![a-z])|\\S+)';

/** Takes a line by the first form that fits it; returns what is wrong where none does, or where it does not fit the rest. */
export function takeLine<To>(line: string, forms: readonly Form<To>[], to: To): LineFault | null {
  let nearest: { fault: LineFault; words: number } | null = null;
  for (const { form, take } of forms) {
    for (const whole of expand(form)) {
      const read = readBy(whole, line);
      if (read === null) continue;
      if ('found' in read) return take(read.found, to);
      const words = fixedWords(whole);
      if (nearest === null || words > nearest.words) nearest = { fault: read.fault, words };
    }
  }
  if (nearest !== null) return nearest.fault;
  const like = forms.map(({ form }) => `"${form}"`).join(', ');
  return {
    what: 'the line',
    must: `of the form ${like}`,
    got: `"${line}"`,
    doThis: 'Write it in one of these.',
  };
}

/** What END and WHEN may be. */
export const shortForms: Readonly<Record<'END' | 'WHEN', readonly string[]>> = {
  END: ['until TIME', 'for SPAN'],
  WHEN: ['by TIME', 'at TIME [± SPAN]', 'from TIME to TIME', 'after TIME', 'before TIME'],
};

function expand(form: string): string[] {
  const ended = form.includes('END') ? shortForms.END.map((end) => form.replace('END', end)) : [form];
  return ended.flatMap((whole) =>
    whole.includes('WHEN') ? shortForms.WHEN.map((when) => whole.replace('WHEN', when)) : [whole],
  );
}

function readBy(form: string, line: string): { found: Found } | { fault: LineFault } | null {
  const match = compile(form).exec(line);
  if (match === null) return null;
  const values: { name: string; value: string | number }[] = [];
  for (const [index, name] of (form.match(placePattern) ?? []).entries()) {
    const text = match[index + 1];
    if (text === undefined) continue;
    const { must, parse } = quantityOf(name);
    const value = parse(text.trim());
    if (value === null) return { fault: { what: name, must, got: text, doThis: `The form is "${form}".` } };
    values.push({ name, value });
  }
  return { found: foundOf(values, line, form) };
}

function foundOf(
  values: readonly { name: string; value: string | number }[],
  line: string,
  form: string,
): Found {
  const all = (name: string) => values.filter((value) => value.name === name);
  const at = (name: string, index: number) => {
    const value = all(name)[index]?.value;
    if (value === undefined) throw new Error(`a form asks for ${name} ${index}, which it does not hold`);
    return value;
  };
  return {
    number: (name, index = 0) => Number(at(name, index)),
    text: (name, index = 0) => String(at(name, index)),
    has: (name) => all(name).length > 0,
    says: (word) => ` ${line} `.includes(` ${word} `),
    starts: (word) => form.split(' ').includes(word),
  };
}

const compiled = new Map<string, RegExp>();

/** The pattern of a form: a quantity may be any text, so that a wrong one is told as such. */
function compile(form: string): RegExp {
  const known = compiled.get(form);
  if (known !== undefined) return known;
  const source = form
    .replace(/[.*+?^${}()|\\]/g, '\\$&')
    .replace(/^\[(.*?)\] /, '(?:$1 )?')
    .replace(/ \[/g, '(?: ')
    .replace(/\[, /g, '(?:, ')
    .replace(/\]/g, ')?')
    .replace(/[a-z]+(?:\/[a-z]+)+/g, (words) => `(?:${words.replaceAll('/', '|')})`)
    .replace(placePattern, (name) => (name === 'SPAN' ? spanPattern : '(.+?)'))
    .replace(/ /g, ' +');
  const pattern = new RegExp(`^${source}$`);
  compiled.set(form, pattern);
  return pattern;
}

function fixedWords(form: string): number {
  return form
    .replace(/\[.*?\]/g, '')
    .split(' ')
    .filter((word) => !/^[A-Z]+$/.test(word)).length;
}

function quantityOf(name: string): (typeof quantities)[string] {
  const quantity = quantities[name];
  if (quantity === undefined) throw new Error(`a form holds a place for ${name}, which is no quantity`);
  return quantity;
}
