import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type ExportForm, formNotes } from '../../../../daemon/history/forms/export-form.ts';
import type { FormReading } from '../../../../daemon/history/forms/form-reading.ts';
import { readingFlags } from '../../../../shared/contract/input.ts';

const readings: FormReading[] = [
  { probe: 'jar', atMs: Date.UTC(2026, 4, 3, 5, 30, 0, 250), tempC: 33.1875, flags: 0 },
  { probe: 'fridge', atMs: Date.UTC(2026, 4, 3, 5, 30, 0, 250), tempC: -18, flags: readingFlags.receipt },
  {
    probe: 'jar',
    atMs: Date.UTC(2026, 4, 3, 5, 30, 1),
    tempC: 33.125,
    flags: readingFlags.receipt | readingFlags.late,
  },
];

function textOf(form: ExportForm, rows: readonly FormReading[]): string {
  const encoder = formNotes[form].encode({ house: 'larkfell 7q,2m', probes: ['jar', 'fridge'] });
  return encoder.head() + rows.map((row) => encoder.rows([row])).join('') + encoder.tail();
}

describe('the forms of an export', () => {
  it('write CSV as RFC 4180 has it: a head line, CRLF, instants as RFC 3339, flags in words', () => {
    expect(textOf('csv', readings)).toBe(
      [
        'at,probe,celsius,flags',
        '2026-05-03T05:30:00.250Z,jar,33.1875,',
        '2026-05-03T05:30:00.250Z,fridge,-18,receipt',
        '2026-05-03T05:30:01.000Z,jar,33.125,receipt late',
        '',
      ].join('\r\n'),
    );
  });

  it('write a trace with a column a probe, one instant a line, an empty cell where there is no reading', () => {
    expect(textOf('trace', [...readings, { ...(readings[2] as FormReading), tempC: 33 }])).toBe(
      [
        'at,jar,fridge',
        '2026-05-03T05:30:00.250Z,33.1875,-18',
        '2026-05-03T05:30:01.000Z,33.125,',
        '2026-05-03T05:30:01.000Z,33,',
        '',
      ].join('\r\n'),
    );
  });

  it('write one JSON object a line', () => {
    expect(textOf('jsonl', readings)).toBe(
      `{"v":1,"at":"2026-05-03T05:30:00.250Z","probe":"jar","celsius":33.1875,"flags":[]}
{"v":1,"at":"2026-05-03T05:30:00.250Z","probe":"fridge","celsius":-18,"flags":["receipt"]}
{"v":1,"at":"2026-05-03T05:30:01.000Z","probe":"jar","celsius":33.125,"flags":["receipt","late"]}
`,
    );
  });

  it('write one SenML pack with the unit of RFC 8428 (registry §12.1: Cel) and times in seconds', () => {
    const text = textOf('senml', readings);
    expect(JSON.parse(text)).toEqual([
      { bu: 'Cel', n: 'jar', t: 1777786200.25, v: 33.1875 },
      { n: 'fridge', t: 1777786200.25, v: -18 },
      { n: 'jar', t: 1777786201, v: 33.125 },
    ]);
    // RFC 8428 §4: a pack holds at least one record.
    expect(JSON.parse(textOf('senml', []))).toEqual([{ bu: 'Cel' }]);
  });

  it('write line protocol with escaped tags, whole-number flags and nanoseconds', () => {
    // docs.influxdata.com/influxdb/v2/reference/syntax/line-protocol: special characters, integers end in i.
    expect(textOf('lp', readings)).toBe(
      `temperature,house=larkfell\\ 7q\\,2m,probe=jar celsius=33.1875 1777786200250000000
temperature,house=larkfell\\ 7q\\,2m,probe=fridge celsius=-18,flags=1i 1777786200250000000
temperature,house=larkfell\\ 7q\\,2m,probe=jar celsius=33.125,flags=5i 1777786201000000000
`,
    );
  });

  it('are all explained on the page of the history', () => {
    const page = readFileSync('deploy/docs/history.md', 'utf8');
    for (const form of Object.keys(formNotes)) expect(page).toContain(`\`${form}\``);
  });
});
