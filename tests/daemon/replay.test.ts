import { describe, expect, it } from 'vitest';
import { parseInstant, parseTrace, type Trace } from '../../daemon/cli/csv-trace.ts';
import { parseReplayOptions, type ReplayOptions, strangersOf } from '../../daemon/cli/replay-options.ts';
import { type ReplayLine, replay } from '../../daemon/replay.ts';
import { forecast } from '../../shared/contract/forecast.ts';
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

  it('prints nothing for what was asked before the start was noticed', () => {
    const trace = traceOf({ beforeMin: 4, aroundC: -2, tauMin: 50, minutes: 30 });
    const spans = Array.from({ length: 120 }, (_, index) => `${(index + 1) * 10}s`).join(',');
    const lines = replay(trace, optionsOf({ at: [spans] }));
    const start = ofType(lines, 'start')[0];
    const asked = ofType(lines, 'forecast').filter(({ why }) => why === 'asked');
    expect((start?.since as number) + 20_000).toBeLessThan(start?.at ?? 0);
    expect(asked[0]?.at).toBeGreaterThanOrEqual(start?.at ?? 0);
    expect(asked.at(-1)?.at).toBe((start?.since as number) + 20 * minute);
  });

  it('says the same whether a forecast is asked for or not', () => {
    const trace = traceOf({ aroundC: -2, tauMin: 50, minutes: 70 });
    const unasked = (lines: ReplayLine[]) => lines.filter(({ why }) => why !== 'asked');
    const lines = replay(trace, optionsOf({ ...asked, at: ['7m,9m3s,20m,59m59s'] }));
    expect(unasked(lines)).toEqual(replay(trace, optionsOf(asked)));
  });

  it('writes a line of each type with the fields that are promised', () => {
    const lines = replay(
      traceOf({ aroundC: -2, tauMin: 50, minutes: 130 }),
      optionsOf({ ...asked, at: ['15m'] }),
    );
    const keys = Object.fromEntries(lines.map((line) => [line.type, Object.keys(line).sort()]));
    expect(keys).toEqual({
      start: ['at', 'marginC', 'probe', 'since', 'type', 'watch'],
      forecast: [...Object.keys(forecast.shape), 'at', 'type', 'why'].sort(),
      notice: ['at', 'code', 'text', 'type', 'watch', 'weight'],
      outcome: ['at', 'crossedAt', 'met', 'type', 'watch'],
    });
    for (const line of ofType(lines, 'forecast')) {
      const { type: _, at: __, why: ___, ...rest } = line;
      expect(forecast.safeParse(rest).error).toBe(undefined);
    }
    expect(ofType(lines, 'outcome')).toMatchObject([{ met: false, crossedAt: expect.any(Number) }]);
    expect(codes(lines)).toEqual(['chill-will-miss', 'chill-missed', 'chill-late']);
  });

  it('replays two probes beside each other as each alone', () => {
    const one = traceOf({ aroundC: -2, tauMin: 50, minutes: 70 });
    const two = traceOf({ aroundC: 0, tauMin: 15, minutes: 70, seed: 2 });
    const both: Trace = {
      probes: ['jar', 'can'],
      rows: one.rows.map(({ atMs, tempsC }, index) => ({
        atMs,
        // The second probe speaks every other time.
        tempsC: [tempsC[0] ?? null, index % 2 === 0 ? (two.rows[index]?.tempsC[0] ?? null) : null],
      })),
    };
    const lines = replay(both, optionsOf({ watch: ['chill:jar=4.44C/60m', 'chill:can=4.44C/60m'] }));
    const outcomes = ofType(lines, 'outcome').map(({ watch, met }) => [String(watch).split('-')[1], met]);
    expect(outcomes).toEqual([
      ['jar', false],
      ['can', true],
    ]);
    const warned = ofType(lines, 'notice').filter(({ code }) => code === 'chill-will-miss');
    expect(warned.map(({ watch }) => String(watch).split('-')[1])).toEqual(['jar']);
  });

  it('tells two jars whose surroundings one column measures apart from none', () => {
    const rows = traceOf({ aroundC: -2, tauMin: 50, minutes: 20 }).rows.map(({ atMs, tempsC }) => ({
      atMs,
      tempsC: [...tempsC, ...tempsC, -2],
    }));
    const lines = replay(
      { probes: ['jar', 'can', 'air'], rows },
      optionsOf({
        watch: ['chill:jar=4.44C/60m', 'chill:can=4.44C/60m'],
        around: ['jar=air', 'can=air'],
        at: ['15m'],
      }),
    );
    const asked = ofType(lines, 'forecast').filter(({ why }) => why === 'asked');
    expect(asked.map(({ assumed }) => assumed)).toMatchObject([
      { from: 'measured', aroundC: -2 },
      { from: 'measured', aroundC: -2 },
    ]);
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
      leftOut: [],
    });
  });

  it.each([
    ['1776494400000', 1_776_494_400_000],
    ['2026-04-18T06:40:00Z', 1_776_494_400_000],
    ['2026-04-18 06:40:00.2504Z', 1_776_494_400_250],
    ['2026-04-18t08:40:00+02:00', 1_776_494_400_000],
    ['2026-04-18T06:40:00', null],
    ['2026-04-18T24:00:00Z', null],
    ['2026-02-30T06:40:00Z', null],
    ['-1', null],
    ['1776494400.5', null],
    ['253402300800000', null],
  ])('reads the instant %s as %s', (text, atMs) => {
    expect(parseInstant(text)).toBe(atMs);
  });

  it('leaves out what no probe can show, as the wires do, and says so', () => {
    expect(parseTrace('at,jar,air\n1776494400000,-127,4\n1776494401000,20,1e9\n', 'x.csv')).toEqual({
      trace: {
        probes: ['jar', 'air'],
        rows: [
          { atMs: 1_776_494_400_000, tempsC: [null, 4] },
          { atMs: 1_776_494_401_000, tempsC: [20, null] },
        ],
      },
      leftOut: [
        'WIRE_RANGE: jar in line 2 of x.csv must be from -60 to 150 °C, got -127. It is left out, as it would be live.',
        'WIRE_RANGE: air in line 3 of x.csv must be from -60 to 150 °C, got 1000000000. It is left out, as it would be live.',
      ],
    });
  });

  it.each([
    ['time,jar\n', 'TRACE_HEAD: the first column of x.csv must be at, got time.'],
    ['at\n', 'TRACE_HEAD: x.csv must have a column a probe, got none.'],
    ['at,jar 1\n', 'TRACE_HEAD: a column of x.csv must be named by a probe'],
    ['at,jar,\n', 'TRACE_HEAD: a column of x.csv must be named by a probe'],
    ['at,jar\n1776494401000,0x10\n', 'TRACE_ROW: line 2 of x.csv must hold temperatures in °C, got 0x10.'],
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
    [
      { watch: ['chill:jar=500C/60m'] },
      '--watch chill:jar=500C/60m must be from -5 to 30 °C within 1 min to 24 h, got 500C/60m.',
    ],
    [
      { watch: ['chill:jar=4C/60m', 'chill:jar=3C/60m'] },
      '--watch chill:jar=3C/60m must be the only chill of its probe, got a second one.',
    ],
    [
      { watch: ['rest:pot=63C/30m'] },
      '--watch rest:pot=63C/30m must be one of chill, heat, hold, keep, got rest.',
    ],
    [
      { watch: ['hold:pot=72C/15s'] },
      '--watch hold:pot=72C/15s must be a hold of 1 min or more (72 °C for 15 s is a pair of continuous flow, where every particle has its time; a probe in a pot cannot prove it), got 72C/15s.',
    ],
    [
      { watch: ['hold:pot=80C/59s'] },
      '--watch hold:pot=80C/59s must be a hold of 1 min or more (readings of a probe prove no shorter one), got 80C/59s.',
    ],
    [{ watch: ['hold:pot=63C'] }, '--watch hold:pot=63C must be like 63C/30m, got 63C.'],
    [{ watch: ['heat:pot=hot'] }, '--watch heat:pot=hot must be like 88C or 88C/3h, got hot.'],
    [
      { watch: ['heat:pot=120C'] },
      '--watch heat:pot=120C must be from -5 to 110 °C within 1 min to 24 h, got 120C.',
    ],
    [{ watch: ['keep:fridge=4.44C'] }, '--watch keep:fridge=4.44C must be like 0C..4.44C, got 4.44C.'],
    [
      { watch: ['keep:fridge=5C..0C'] },
      '--watch keep:fridge=5C..0C must be from -60 to 60 °C, the colder limit first, got 5C..0C.',
    ],
    [{ place: ['jar=attic'] }, '--place jar=attic must be one of freezer,'],
    [{ volume: ['jar=lots'] }, '--volume jar=lots must be an amount such as 0.95L, got lots.'],
    [{ at: ['soon'] }, '--at must be spans such as 10m,15m,90s, got soon.'],
    [{ uncertainty: ['much'] }, '--uncertainty must be like 0.5C, got much.'],
  ])('refuse %j', (values, fault) => {
    const parsed = parseReplayOptions('trace.csv', values as Record<string, string[]>);
    expect('faults' in parsed && parsed.faults[0]).toContain(`REPLAY_OPTION: ${fault}`);
  });
});

it('names every option of a replay that fits no column', () => {
  const options = optionsOf({
    watch: ['chill:pan=4C/60m'],
    place: ['can=fridge'],
    around: ['jar=air'],
    volume: ['pot=1L'],
  });
  const end = 'See springhouse replay --help.';
  expect(strangersOf(options, ['jar'])).toEqual(
    [
      ['--watch', 'pan'],
      ['--place', 'can'],
      ['--around', 'air'],
      ['--volume', 'pot'],
    ].map(([name, got]) => `REPLAY_OPTION: ${name} must be a column of trace.csv (jar), got ${got}. ${end}`),
  );
});
