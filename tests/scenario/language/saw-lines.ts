/** The lines under "the probe NAME saw:": the temperature around its tip, how it measures, what was lost. */
import type { Form, Found, LineFault } from './form.ts';
import { formatWall } from './quantities.ts';
import type { Measuring, ProbeSaw, Shape } from './scenario.ts';

/** A probe's section as it is being read. `atMs` and `tempC` are where the last shape ended; null before the first. */
export type SawDraft = ProbeSaw & { measuring: Measuring; atMs: number | null; tempC: number };

/** A section without lines: a reading every 10 s without noise or lag, stamped by the probe. */
export function openSaw(probe: string, line: number): SawDraft {
  return {
    probe,
    line,
    shapes: [],
    silences: [],
    heldBack: [],
    outliers: [],
    stampedByHouse: false,
    measuring: { everyMs: 10_000, noiseC: 0, stepC: 0, lagMs: 0 },
    atMs: null,
    tempC: 0,
  };
}

/** The forms of a probe's lines. */
export const sawForms: readonly Form<SawDraft>[] = [
  { form: 'every SPAN', take: (found, saw) => measure(saw, { everyMs: found.number('SPAN') }) },
  { form: 'noise DIFF', take: (found, saw) => measure(saw, { noiseC: found.number('DIFF') }) },
  { form: 'in steps of DIFF', take: (found, saw) => measure(saw, { stepC: found.number('DIFF') }) },
  { form: 'lag SPAN', take: (found, saw) => measure(saw, { lagMs: found.number('SPAN') }) },
  {
    form: 'stamped by the house',
    take: (_, saw) => {
      saw.stampedByHouse = true;
      return null;
    },
  },
  {
    form: 'silent from TIME to TIME',
    take: (found, saw) => {
      const [fromMs, toMs] = [found.number('TIME'), found.number('TIME', 1)];
      saw.silences.push({ fromMs, toMs });
      return inOrder([fromMs, toMs]);
    },
  },
  {
    form: 'held back from TIME to TIME [and sent at TIME]',
    take: (found, saw) => {
      const [fromMs, toMs] = [found.number('TIME'), found.number('TIME', 1)];
      const sentMs = found.says('sent') ? found.number('TIME', 2) : toMs;
      saw.heldBack.push({ fromMs, toMs, sentMs });
      return inOrder([fromMs, toMs, sentMs]);
    },
  },
  {
    form: 'at TIME once TEMP',
    take: (found, saw) => {
      saw.outliers.push({ atMs: found.number('TIME'), tempC: found.number('TEMP') });
      return null;
    },
  },
  {
    form: 'TIME TEMP [END]',
    take: (found, saw) => {
      const fromMs = found.number('TIME');
      const fault = waitUntil(saw, fromMs);
      if (fault !== null) return fault;
      saw.tempC = found.number('TEMP');
      const ends = found.says('until') || found.says('for');
      return ends ? go(saw, endOf(found, saw, 1), { kind: 'level' }, saw.tempC) : null;
    },
  },
  {
    form: 'TIME to TIME rises/falls to TEMP',
    take: (found, saw) => {
      const endC = found.number('TEMP');
      return (
        waitUntil(saw, found.number('TIME')) ?? go(saw, found.number('TIME', 1), { kind: 'ramp', endC }, endC)
      );
    },
  },
  {
    form: 'rises/falls to TEMP END',
    take: (found, saw) => {
      const endC = found.number('TEMP');
      return go(saw, endOf(found, saw, 0), { kind: 'ramp', endC }, endC);
    },
  },
  {
    form: 'cools/warms towards TEMP by half every SPAN END',
    take: (found, saw) => {
      const [aroundC, halfMs] = [found.number('TEMP'), found.number('SPAN')];
      const toMs = endOf(found, saw, 0, 1);
      const leftShare = 2 ** (-(toMs - (saw.atMs ?? toMs)) / halfMs);
      return go(saw, toMs, { kind: 'towards', aroundC, halfMs }, aroundC + (saw.tempC - aroundC) * leftShare);
    },
  },
  {
    form: 'swings between TEMP and TEMP every SPAN END',
    take: (found, saw) => {
      const swing = {
        lowC: found.number('TEMP'),
        highC: found.number('TEMP', 1),
        everyMs: found.number('SPAN'),
      };
      const toMs = endOf(found, saw, 0, 1);
      return go(saw, toMs, { kind: 'swing', ...swing }, swingC(swing, toMs - (saw.atMs ?? toMs)));
    },
  },
  { form: 'stays END', take: (found, saw) => go(saw, endOf(found, saw, 0), { kind: 'level' }, saw.tempC) },
];

/** A swing begins at its low end and goes up and down as a sine does. */
export function swingC(
  { lowC, highC, everyMs }: { lowC: number; highC: number; everyMs: number },
  spanMs: number,
): number {
  return lowC + ((highC - lowC) * (1 - Math.cos((2 * Math.PI * spanMs) / everyMs))) / 2;
}

function measure(saw: SawDraft, change: Partial<Measuring>): null {
  saw.measuring = { ...saw.measuring, ...change };
  return null;
}

/** Lets what was there stay until `atMs`; the first line begins there. */
function waitUntil(saw: SawDraft, atMs: number): LineFault | null {
  if (saw.atMs !== null && atMs < saw.atMs) {
    return {
      what: 'the time',
      must: `no earlier than ${formatWall(saw.atMs)}, where the line before ended`,
      got: formatWall(atMs),
      doThis: 'Lines go on in the order of time.',
    };
  }
  if (saw.atMs !== null && atMs > saw.atMs) return go(saw, atMs, { kind: 'level' }, saw.tempC);
  saw.atMs = atMs;
  return null;
}

type Going = Shape extends infer S
  ? S extends Shape
    ? Omit<S, 'fromMs' | 'toMs' | 'startC' | 'measuring'>
    : never
  : never;

/** Adds a shape from where the last one ended. */
function go(saw: SawDraft, toMs: number, going: Going, endC: number): LineFault | null {
  const fromMs = saw.atMs;
  if (fromMs === null) {
    return {
      what: 'the first line of what a probe saw',
      must: 'a time and a temperature such as 6:40 20 C',
      got: 'a line that goes on from one before',
      doThis: 'Say first what the probe saw, and when.',
    };
  }
  if (toMs <= fromMs) return notAfter(fromMs, toMs);
  saw.shapes.push({ fromMs, toMs, startC: saw.tempC, measuring: saw.measuring, ...going } as Shape);
  saw.atMs = toMs;
  saw.tempC = endC;
  return null;
}

/** When a shape ends: "until TIME", the time with this number in the line, or "for SPAN" from where the last ended. */
function endOf(found: Found, saw: SawDraft, time: number, span = 0): number {
  return found.says('until') ? found.number('TIME', time) : (saw.atMs ?? 0) + found.number('SPAN', span);
}

function inOrder(instantsMs: readonly number[]): LineFault | null {
  for (const [index, atMs] of instantsMs.entries()) {
    const beforeMs = instantsMs[index - 1];
    if (beforeMs !== undefined && atMs < beforeMs) return notAfter(beforeMs, atMs);
  }
  return null;
}

function notAfter(fromMs: number, toMs: number): LineFault {
  return {
    what: 'the end',
    must: `after ${formatWall(fromMs)}`,
    got: formatWall(toMs),
    doThis: 'After midnight go on with 24:10, 25:00 and so on.',
  };
}
