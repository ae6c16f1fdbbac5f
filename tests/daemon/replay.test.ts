import { describe, expect, it } from 'vitest';
import { parseTrace, type Trace } from '../../daemon/cli/csv-trace.ts';
import { parseReplayOptions, type ReplayOptions } from '../../daemon/cli/replay-options.ts';
import { type ReplayLine, replay } from '../../daemon/replay.ts';
import { milkTrace, type TraceOptions } from './watch/trace.ts';

const minute = 60_000;

function traceOf(options: TraceOptions): Trace {
  return {
    probes: ['jar'],
    rows: milkTrace({ everyMs: 5_000, ...options }).map(({ atMs, tempC }) => ({ atMs, tempsC: [tempC] })),
  };
}

function optionsOf(values: Record<string, string[]> = {}): ReplayOptions {
  const parsed = parseReplayOptions('trace.csv', values);
  if ('faults' in parsed) throw new Error(parsed.faults.join('\n'));
  return parsed.options;
}

const asked = { watch: ['chill:jar=4.44C/60m'] };
const ofType = (lines: readonly ReplayLine[], type: ReplayLine['type']) =>
  lines.filter((line) => line.type === type);
const codes = (lines: readonly ReplayLine[]) => ofType(lines, 'notice').map(({ code }) => code);

/** Jars that cannot make the hour: from slow still air to one that is 12 minutes late. */
const doomed: [string, TraceOptions][] = [
  ['in a fridge', { aroundC: 3, tauMin: 150, minutes: 70 }],
  ['in a freezer', { aroundC: -18, tauMin: 95, minutes: 70, lagS: 25 }],
  ['half an hour late', { aroundC: -2, tauMin: 50, minutes: 70 }],
  ['on the bench first', { beforeMin: 4, aroundC: 3, tauMin: 120, minutes: 70, noiseC: 0.08 }],
];
/** Jars that make it with time to spare. */
const good: [string, TraceOptions][] = [
  ['in stirred ice', { aroundC: 0.5, tauMin: 9, minutes: 70 }],
  ['in still ice', { aroundC: 1, tauMin: 15, minutes: 70, lagS: 25 }],
  ['before a fan', { aroundC: -20, tauMin: 55, minutes: 70 }],
  ['from the room into ice', { beforeMin: 4, aroundC: 0, tauMin: 13, minutes: 70 }],
];

describe('a replay', () => {
  it.each(doomed)('warns of a doomed jar %s at or before minute 20', (_, options) => {
    const lines = replay(traceOf(options), optionsOf(options.beforeMin === undefined ? asked : {}));
    const since = ofType(lines, 'start')[0]?.since as number;
    const warning = ofType(lines, 'notice').find(({ weight }) => weight === 'warn' || weight === 'alarm');
    expect(warning?.code).toBe('chill-will-miss');
    expect((warning?.at ?? 0) - since).toBeLessThanOrEqual(20 * minute);
    expect(ofType(lines, 'outcome')).toMatchObject([{ met: false }]);
  });

  it.each(good)('never warns of a good jar %s before it is made', (_, options) => {
    const lines = replay(traceOf(options), optionsOf(options.beforeMin === undefined ? asked : {}));
    expect(codes(lines)).not.toContain('chill-will-miss');
    expect(codes(lines)).toContain('chill-made');
    expect(ofType(lines, 'outcome')).toMatchObject([{ met: true }]);
  });

  it('gives the same bytes twice', () => {
    const run = () =>
      JSON.stringify(replay(traceOf({ aroundC: -2, tauMin: 50, minutes: 70 }), optionsOf(asked)));
    expect(run()).toBe(run());
  });

  it('answers at an instant with the readings up to it, whatever comes after', () => {
    const trace = traceOf({ aroundC: -2, tauMin: 50, minutes: 40 });
    const startMs = trace.rows[0]?.atMs ?? 0;
    const options = optionsOf({ ...asked, at: ['15m'] });
    const cut = startMs + 15 * minute;
    const other = {
      ...trace,
      rows: trace.rows.map((row) => (row.atMs > cut ? { ...row, tempsC: [30] } : row)),
    };
    const answer = (lines: ReplayLine[]) => ofType(lines, 'forecast').find(({ why }) => why === 'asked');
    expect(answer(replay(trace, options))).toMatchObject({ at: cut, madeAtMs: cut });
    expect(answer(replay(other, options))).toEqual(answer(replay(trace, options)));
  });

  it('answers also where no reading falls on the instant, and after the last row', () => {
    const lines = replay(
      traceOf({ aroundC: -2, tauMin: 50, minutes: 20 }),
      optionsOf({ ...asked, at: ['10m,12m1s', '25m'] }),
    );
    const startMs = ofType(lines, 'start')[0]?.at ?? 0;
    const spans = ofType(lines, 'forecast')
      .filter(({ why }) => why === 'asked')
      .map(({ at }) => (at - startMs) / 1000);
    expect(spans).toEqual([600, 721, 1500]);
  });

  it('ends in the same outcome where rows come up to 15 min late, in a watch already open', () => {
    const trace = traceOf({ aroundC: 0, tauMin: 15, minutes: 70 });
    const [first, ...rest] = trace.rows;
    const shuffled = rest
      .map((row, index) => ({ row, key: row.atMs + ((index * 7919) % 900) * 1000 }))
      .sort((a, b) => a.key - b.key)
      .map(({ row }) => row);
    const outcomes = (rows: Trace['rows']) =>
      ofType(replay({ ...trace, rows }, optionsOf(asked)), 'outcome').map(({ met, crossedAt }) => ({
        met,
        crossedAt,
      }));
    expect(outcomes([first as Trace['rows'][number], ...shuffled])).toEqual(outcomes(trace.rows));
  });

  it('orders its lines by instant, then start, forecast, notice, outcome', () => {
    const lines = replay(
      traceOf({ aroundC: -2, tauMin: 50, minutes: 70 }),
      optionsOf({ ...asked, at: ['10m', '60m'] }),
    );
    const order = ['start', 'forecast', 'notice', 'outcome'];
    const keys = lines.map(({ at, type }) => [at, order.indexOf(type)] as const);
    expect(keys).toEqual([...keys].sort((a, b) => a[0] - b[0] || a[1] - b[1]));
    expect(lines.at(-1)?.type).toBe('outcome');
  });

  it('judges only beyond the uncertainty that it was told', () => {
    const lines = replay(
      traceOf({ aroundC: 0, tauMin: 15, minutes: 70 }),
      optionsOf({ ...asked, uncertainty: ['0.5C'] }),
    );
    expect(ofType(lines, 'start')).toMatchObject([{ marginC: 0.5 }]);
  });

  it('takes what another column measures as the surroundings', () => {
    const rows = traceOf({ aroundC: -2, tauMin: 50, minutes: 20 }).rows.map(({ atMs, tempsC }) => ({
      atMs,
      tempsC: [...tempsC, -2],
    }));
    const lines = replay(
      { probes: ['jar', 'air'], rows },
      optionsOf({ ...asked, around: ['jar=air'], at: ['15m'] }),
    );
    const forecast = ofType(lines, 'forecast').find(({ why }) => why === 'asked');
    expect(forecast?.assumed).toMatchObject({ from: 'measured', aroundC: -2 });
  });
});

describe('a trace', () => {
  it('takes RFC 3339 and epoch ms, empty cells and quotes', () => {
    const text = 'at,jar,air\r\n2026-04-18T06:40:00Z,36.5,\r\n1776494401000,"36.4",-18\r\n';
    expect(parseTrace(text, 'x.csv')).toEqual({
      trace: {
        probes: ['jar', 'air'],
        rows: [
          { atMs: Date.UTC(2026, 3, 18, 6, 40), tempsC: [36.5, null] },
          { atMs: 1776494401000, tempsC: [36.4, -18] },
        ],
      },
    });
  });

  it.each([
    ['time,jar\n', 'TRACE_HEAD: the first column of x.csv must be at, got time.'],
    ['at\n', 'TRACE_HEAD: x.csv must have a column a probe, got none.'],
    ['at,jar,jar\n', 'TRACE_HEAD: columns of x.csv must have different names, got jar twice.'],
    [
      'at,jar\nyesterday,1\n',
      'TRACE_ROW: line 2 of x.csv must begin with RFC 3339 or whole epoch ms, got yesterday.',
    ],
    ['at,jar\n1776494401000,warm\n', 'TRACE_ROW: line 2 of x.csv must hold temperatures in °C, got warm.'],
    ['at,jar\n1776494401000,1,2\n', 'TRACE_ROW: line 2 of x.csv must have 2 cells, got 3.'],
  ])('refuses %j', (text, fault) => {
    const read = parseTrace(text, 'x.csv');
    expect('faults' in read && read.faults[0]).toContain(fault);
  });
});

describe('the options of a replay', () => {
  it.each([
    [{ watch: ['chill:jar'] }, "--watch must be of the form 'chill:jar=4.44C/60m', got chill:jar."],
    [{ watch: ['chill:jar=cold/60m'] }, '--watch chill:jar=cold/60m must be like 4.44C/60m, got cold/60m.'],
    [{ place: ['jar=attic'] }, '--place jar=attic must be one of freezer,'],
    [{ volume: ['jar=lots'] }, '--volume jar=lots must be an amount such as 0.95L, got lots.'],
    [{ at: ['soon'] }, '--at must be spans such as 10m,15m,90s, got soon.'],
    [{ uncertainty: ['much'] }, '--uncertainty must be like 0.5C, got much.'],
  ])('refuse %j', (values, fault) => {
    const parsed = parseReplayOptions('trace.csv', values as Record<string, string[]>);
    expect('faults' in parsed && parsed.faults[0]).toContain(`REPLAY_OPTION: ${fault}`);
  });
});
