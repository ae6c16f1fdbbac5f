import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ExportForm, formNotes } from '../../../../daemon/history/forms/export-form.ts';
import type { FormReading } from '../../../../daemon/history/forms/form-reading.ts';
import { type CsvMapping, openCsvImport } from '../../../../daemon/history/imports/csv-import.ts';
import type { Decoder, FileRow } from '../../../../daemon/history/imports/decoder.ts';
import { rowCharsMax } from '../../../../daemon/history/imports/decoder.ts';
import { openFileTime, type ReadTime } from '../../../../daemon/history/imports/file-time.ts';
import { openFileValue } from '../../../../daemon/history/imports/file-value.ts';
import {
  openJsonLinesImport,
  openLineProtocolImport,
} from '../../../../daemon/history/imports/line-imports.ts';
import { openSenmlImport } from '../../../../daemon/history/imports/senml-import.ts';

const usual: CsvMapping = { separator: ',', skip: 0, at: 'at', columns: [], value: null };
const readTime = openFileTime({ form: 'auto', zone: null }) as ReadTime;
const readValue = openFileValue({ unit: 'C', decimal: '.' });
const csv = (mapping: Partial<CsvMapping> = {}, more: object = {}) =>
  openCsvImport({ mapping: { ...usual, ...mapping }, readTime, readValue, ...more });

const decoders: Record<ExportForm, () => Decoder> = {
  csv,
  trace: csv,
  jsonl: () => openJsonLinesImport({ readTime, readValue }),
  senml: () => openSenmlImport({ readerOf: (unit) => openFileValue({ unit, decimal: '.' }) }),
  lp: () => openLineProtocolImport({ readTime, readValue }),
};

function read(decoder: Decoder, pieces: readonly string[]): FileRow[] {
  return [...pieces.flatMap((piece) => decoder.push(piece)), ...decoder.end()];
}

const readingsIn = (rows: readonly FileRow[]): FormReading[] =>
  rows.map((row) => {
    if ('fault' in row) throw new Error(`line ${row.line} ${row.fault}`);
    return row.reading;
  });

const reading = fc.record({
  probe: fc.constantFrom('jar', 'larder.2', 'B-7_x'),
  // From 2^28 s on, since SenML times before that are relative.
  atMs: fc.integer({ min: 2 ** 28 * 1000, max: 4_102_444_799_999 }),
  tempC: fc.oneof(
    fc.integer({ min: -960, max: 2400 }).map((steps) => steps / 16),
    fc.double({ min: -60, max: 150, noNaN: true }).map((value) => value + 0),
  ),
  flags: fc.integer({ min: 0, max: 15 }),
});

describe('a file of our own forms', () => {
  it.each(['csv', 'jsonl', 'lp', 'senml'] as const)(
    'gives back as %s what went into it, cut anywhere',
    (form) => {
      fc.assert(
        fc.property(fc.array(reading, { maxLength: 12 }), fc.nat(400), fc.nat(400), (readings, a, b) => {
          const encoder = formNotes[form].encode({ house: 'larkfell-7q2m', probes: [] });
          const text = encoder.head() + encoder.rows(readings) + encoder.tail();
          const [first, second] = [Math.min(a, b), Math.max(a, b)];
          const rows = read(decoders[form](), [
            text.slice(0, first),
            text.slice(first, second),
            text.slice(second),
          ]);
          const expected = form === 'senml' ? readings.map((each) => ({ ...each, flags: 0 })) : readings;
          expect(readingsIn(rows)).toEqual(expected.map((each) => ({ ...each, tempC: each.tempC + 0 })));
        }),
        { numRuns: 100 },
      );
    },
  );

  it('is read the same cut at every index', () => {
    const readings: FormReading[] = [
      { probe: 'jar', atMs: 1_777_786_200_250, tempC: 33.1875, flags: 5 },
      { probe: 'larder', atMs: 1_777_786_201_000, tempC: -18, flags: 0 },
    ];
    for (const form of ['csv', 'jsonl', 'lp'] as const) {
      const encoder = formNotes[form].encode({ house: 'h', probes: [] });
      const text = encoder.head() + encoder.rows(readings) + encoder.tail();
      for (let cut = 0; cut <= text.length; cut++) {
        expect(readingsIn(read(decoders[form](), [text.slice(0, cut), text.slice(cut)]))).toEqual(readings);
      }
    }
  });

  it('gives back a trace without its flags', () => {
    const text = 'at,jar,larder\r\n2026-05-03T05:30:00.250Z,33.1875,-18\r\n2026-05-03T05:30:01Z,,4.5\r\n';
    expect(readingsIn(read(csv(), [text]))).toEqual([
      { probe: 'jar', atMs: 1_777_786_200_250, tempC: 33.1875, flags: 0 },
      { probe: 'larder', atMs: 1_777_786_200_250, tempC: -18, flags: 0 },
      { probe: 'larder', atMs: 1_777_786_201_000, tempC: 4.5, flags: 0 },
    ]);
  });
});

describe('a CSV logged elsewhere', () => {
  it('is read by a mapping: lines to skip, separator, decimal comma, local time, unit, quoted names', () => {
    const text =
      '\ufeffLogger 12\nmade by hand\n"When";"Temp; jar";"Fridge (°F)"\n03.05.2026 07:30:00;"98,6";"40,1"\n03.05.2026 07:30:10;;39\n';
    const decoder = openCsvImport({
      mapping: {
        separator: ';',
        skip: 2,
        at: 'When',
        columns: [
          { probe: 'jar', column: 'Temp; jar' },
          { probe: 'fridge', column: '3' },
        ],
        value: null,
      },
      readTime: openFileTime({ form: 'DD.MM.YYYY HH:mm:ss', zone: 'Europe/Vienna' }) as ReadTime,
      readValue: openFileValue({ unit: 'F', decimal: ',' }),
    });
    const rows = readingsIn(read(decoder, [text]));
    expect(rows.map(({ probe, atMs }) => [probe, new Date(atMs).toISOString()])).toEqual([
      ['jar', '2026-05-03T05:30:00.000Z'],
      ['fridge', '2026-05-03T05:30:00.000Z'],
      ['fridge', '2026-05-03T05:30:10.000Z'],
    ]);
    expect(rows.map(({ tempC }) => tempC.toFixed(4))).toEqual(['37.0000', '4.5000', '3.8889']);
  });

  it('is read with the probe in a column, or one for all', () => {
    const text = 'time,sensor,value\n2026-05-03T05:30:00Z,jar,4\n';
    const by = (probe: { column: string } | { id: string }) =>
      readingsIn(read(csv({ at: 'time', value: { column: 'value', probe } }), [text]))[0]?.probe;
    expect([by({ column: 'sensor' }), by({ id: 'pot' })]).toEqual(['jar', 'pot']);
  });

  it.each([
    [
      'at,jar\n2026-02-30T00:00:00Z,4\n',
      2,
      'must hold an instant of the form given, got "2026-02-30T00:00:00Z"',
    ],
    [
      'at,jar\n2026-05-03T05:30:00,4\n',
      2,
      'must hold an instant of the form given, got "2026-05-03T05:30:00"',
    ],
    ['at,jar\n2026-05-03T05:30:00Z,warm\n', 2, 'must hold a temperature, got "warm"'],
    ['at,jar\n2026-05-03T05:30:00Z,151\n', 2, 'must hold a temperature from -60 to 150 °C, got "151"'],
    [
      'at,probe,celsius,flags\n2026-05-03T05:30:00Z,jar,4,odd\n',
      2,
      'must hold flags that are known, got "odd"',
    ],
    ['at,probe,celsius\n2026-05-03T05:30:00Z,the jar,4\n', 2, 'must name a probe by its id, got "the jar"'],
    ['time,jar\n', 1, 'must have a column "at", got "time", "jar"'],
    [
      'at,the jar\n',
      1,
      'must name each column of values by a probe\'s id, got "the jar"; say with --column PROBE=COLUMN which is which',
    ],
    [
      `at,jar\n"${'x'.repeat(rowCharsMax + 9)}",4\n`,
      2,
      `must have at most ${rowCharsMax} characters, got more`,
    ],
  ])('tells of %j what is wrong in which line', (text, line, fault) => {
    expect(read(csv(), [text])).toEqual([{ line, fault }]);
  });

  it('reads on after a row that is too long or a quote that nobody closes', () => {
    const good = '2026-05-03T05:30:00Z,4\n';
    for (const bad of [`${'x'.repeat(3 * rowCharsMax)}\n`, `"${'x\n'.repeat(rowCharsMax)}`]) {
      const text = `at,jar\n${bad}${good}`;
      const pieces = text.match(/[\s\S]{1,10000}/g) ?? [];
      const rows = read(csv(), pieces);
      expect(rows.at(-1)).toMatchObject({ reading: { probe: 'jar', tempC: 4 } });
      expect(rows[0]).toHaveProperty('fault');
    }
  });
});

describe('instants of a file', () => {
  const read = (form: string, zone: string | null, texts: string[]) => {
    const time = openFileTime({ form, zone }) as ReadTime;
    return texts.map((text) => {
      const atMs = time(text);
      return atMs === null ? null : new Date(atMs).toISOString();
    });
  };

  it('are RFC 3339, or whole epoch milliseconds, rounded to milliseconds', () => {
    // RFC 3339 §5.8, its own examples.
    expect(
      read('auto', null, [
        '1985-04-12T23:20:50.52Z',
        '1996-12-19T16:39:57-08:00',
        '1937-01-01T12:00:27.87+00:20',
        '1777786200250',
        '2026-05-03 05:30:00.1239Z',
      ]),
    ).toEqual([
      '1985-04-12T23:20:50.520Z',
      '1996-12-20T00:39:57.000Z',
      null,
      '2026-05-03T05:30:00.250Z',
      '2026-05-03T05:30:00.124Z',
    ]);
  });

  it('are local in a zone, and the hour that autumn has twice goes by the order of the lines', () => {
    // Europe/Vienna, IANA tz: summer time 2026 ends on 25 October at 03:00 and begins on 29 March at 02:00.
    expect(
      read('auto', 'Europe/Vienna', [
        '2026-10-25T02:30:00',
        '2026-10-25T02:50:00',
        '2026-10-25T02:10:00',
        '2026-10-25T03:00:00',
        '2026-03-29T02:30:00',
      ]),
    ).toEqual([
      '2026-10-25T00:30:00.000Z',
      '2026-10-25T00:50:00.000Z',
      '2026-10-25T01:10:00.000Z',
      '2026-10-25T02:00:00.000Z',
      null,
    ]);
  });

  it('follow a pattern, with half days and short years', () => {
    expect(
      read('M/D/YY h:mm A', 'America/Denver', [
        '5/3/26 12:05 AM',
        '5/3/26 12:05 pm',
        '5/3/26 13:05 PM',
        '13/3/26 1:05 AM',
      ]),
    ).toEqual(['2026-05-03T06:05:00.000Z', '2026-05-03T18:05:00.000Z', null, null]);
    expect(read('epoch-s', null, ['1777786200.25', 'soon'])).toEqual(['2026-05-03T05:30:00.250Z', null]);
  });

  it('refuse a pattern without a day', () => {
    expect(openFileTime({ form: 'HH:mm', zone: 'UTC' })).toBe(
      'auto, epoch-s, epoch-ms or a pattern with YYYY, MM and DD',
    );
  });
});

describe('a SenML file', () => {
  it('is resolved as RFC 8428 says, with base fields, kelvin, and records that only set a base', () => {
    const text =
      '[{"bn":"lar","bt":1777786200,"bu":"K"},\n{"n":"der","t":1,"v":277.15},{"n":"der","u":"Cel","t":2,"v":4.5}]';
    const rows = readingsIn(read(decoders.senml(), [text.slice(0, 30), text.slice(30)]));
    expect(rows).toEqual([
      { probe: 'larder', atMs: 1_777_786_201_000, tempC: 4, flags: 0 },
      { probe: 'larder', atMs: 1_777_786_202_000, tempC: 4.5, flags: 0 },
    ]);
  });

  it.each([
    ['[{"n":"jar","u":"Cel","v":4}]', 'must hold an instant, got "0"'],
    ['[{"n":"jar","u":"lx","t":1777786200,"v":4}]', 'must have the unit "Cel" or "K", got lx'],
    [
      '[{"n":"jar","u":"Cel","t":1777786200,"v":4,"x_":1}]',
      'must have no field x_, which this release does not know',
    ],
    ['[{"n":"jar"', 'must be whole, got the end of the file within it'],
  ])('tells of %j what is wrong', (text, fault) => {
    expect(read(decoders.senml(), [text])).toEqual([{ line: 1, fault }]);
  });
});

describe('a line of line protocol', () => {
  it.each([
    [
      'temperature,probe=jar celsius=4',
      'must be a series, fields and an instant parted by spaces, got "temperature,probe=jar celsius=4"',
    ],
    ['temperature,probe=jar celsius=4 12', 'must hold an instant, got "12"'],
    ['temperature celsius=4 1777786200250000000', 'must name a probe by its id, got "undefined"'],
    ['temperature,probe=jar warm=4 1777786200250000000', 'must hold a temperature, got "undefined"'],
  ])('tells of %j what is wrong', (text, fault) => {
    expect(read(decoders.lp(), [text])).toEqual([{ line: 1, fault }]);
  });
});
