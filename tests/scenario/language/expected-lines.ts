/** The lines under "must be said:". */
import type { NoticeCode } from '../../../shared/contract/event.ts';
import { type Form, type Found, type LineFault, takeLine } from './form.ts';
import type { Clause, Expected, Near, Saying } from './scenario.ts';

/** What lines of this section are added to. */
export type ExpectedDraft = { expected: Expected[]; nothingElseLine: number | null };

/** How far "at 7:45" and "near 7:38" reach where no span is given. */
export const nearMs = 60_000;

/** What the beginning of a line holds before what is said. */
type Head = { expected: Expected; rest: string };

/** How the beginning of a line says when, and how often. */
export const headForms: readonly Form<Head>[] = [
  { form: 'never SAYING WHEN', take: (found, to) => when(found, head(to, found, 'never').expected) },
  { form: 'never SAYING', take: (found, to) => always(head(to, found, 'never').expected) },
  { form: 'once WHEN SAYING', take: (found, to) => when(found, head(to, found, 'once').expected) },
  { form: 'WHEN SAYING', take: (found, to) => when(found, head(to, found, 'some').expected) },
];

/** What may be said. */
export const sayingForms: readonly Form<Expected>[] = [
  { form: 'a warning [CODE]', take: (found, to) => notice(found, to, 'warning') },
  { form: 'an alarm [CODE]', take: (found, to) => notice(found, to, 'alarm') },
  { form: 'a tell [CODE]', take: (found, to) => notice(found, to, 'tell') },
  { form: 'a notice [CODE]', take: (found, to) => notice(found, to, null) },
  { form: 'watch begins', take: (_, to) => plain(to, 'watch begins') },
  { form: 'watch ends', take: (_, to) => plain(to, 'watch ends') },
  { form: 'CODE', take: (found, to) => notice(found, to, null) },
];

/** What may follow, each behind a comma. */
export const clauseForms: readonly Form<Clause[]>[] = [
  { form: 'since TIME [± SPAN]', take: (found, to) => add(to, { kind: 'since', near: nearOf(found) }) },
  { form: 'near TIME [± SPAN]', take: (found, to) => add(to, { kind: 'near', near: nearOf(found) }) },
  { form: 'because REASON', take: (found, to) => add(to, { kind: 'because', reason: found.text('REASON') }) },
  { form: 'of PROBE', take: (found, to) => add(to, { kind: 'of', probe: found.text('PROBE') }) },
  { form: '"TEXT"', take: (found, to) => add(to, { kind: 'words', text: found.text('TEXT') }) },
];

/** Takes one line of what must be said. */
export function takeExpectedLine(text: string, line: number, to: ExpectedDraft): LineFault | null {
  if (text === 'nothing else') {
    to.nothingElseLine = line;
    return null;
  }
  const [first = '', ...rest] = splitAtCommas(text);
  const expected: Expected = {
    line,
    text,
    how: 'some',
    fromMs: Number.NEGATIVE_INFINITY,
    toMs: Number.POSITIVE_INFINITY,
    saying: 'notice',
    weight: null,
    clauses: [],
  };
  const held: Head = { expected, rest: '' };
  const fault = takeLine(first, headForms, held) ?? takeLine(held.rest, sayingForms, expected);
  if (fault !== null) return fault;
  for (const clause of rest) {
    const wrong = takeLine(clause, clauseForms, expected.clauses);
    if (wrong !== null) return wrong;
  }
  to.expected.push(expected);
  return null;
}

function head(to: Head, found: Found, how: Expected['how']): Head {
  to.expected.how = how;
  to.rest = found.text('SAYING');
  return to;
}

function always(_: Expected): null {
  return null;
}

function when(found: Found, to: Expected): null {
  const atMs = found.number('TIME');
  if (found.starts('by')) to.toMs = atMs;
  else if (found.starts('before')) to.toMs = atMs - 1;
  else if (found.starts('after')) to.fromMs = atMs + 1;
  else if (found.starts('from')) [to.fromMs, to.toMs] = [atMs, found.number('TIME', 1)];
  else {
    const { withinMs } = nearOf(found);
    [to.fromMs, to.toMs] = [atMs - withinMs, atMs + withinMs];
  }
  return null;
}

function notice(found: Found, to: Expected, weight: Expected['weight']): null {
  to.saying = found.has('CODE') ? (found.text('CODE') as NoticeCode) : 'notice';
  to.weight = weight;
  return null;
}

function plain(to: Expected, saying: Saying): null {
  to.saying = saying;
  return null;
}

function add(to: Clause[], clause: Clause): null {
  to.push(clause);
  return null;
}

function nearOf(found: Found): Near {
  return { atMs: found.number('TIME'), withinMs: found.has('SPAN') ? found.number('SPAN') : nearMs };
}

function splitAtCommas(text: string): string[] {
  return (text.match(/(?:"[^"]*"|[^,"]|")+/g) ?? []).map((piece) => piece.trim());
}
