/** A scenario's text to a scenario; every fault names its file and line. */
import { type ExpectedDraft, takeExpectedLine } from './expected-lines.ts';
import { type LineFault, takeLine } from './form.ts';
import { houseTold, knowPlace, openHouse, takeHouseLine } from './house-lines.ts';
import { type MeanwhileDraft, meanwhileForms } from './meanwhile-lines.ts';
import { openSaw, type SawDraft, sawForms } from './saw-lines.ts';
import type { Scenario } from './scenario.ts';

export type ParsedScenario = { ok: true; scenario: Scenario } | { ok: false; faults: string[] };

const sections = 'house:, the probe NAME saw:, meanwhile:, must be said:';
const sawHead = /^the probe (\S+) saw *:$/;

/** Lines of a scenario; one that is longer is refused. */
export const linesMax = 500;

/** Reads a scenario; `#` begins a comment, the first line is its title, sections go on with indented lines. */
export function parseScenario(text: string, name: string): ParsedScenario {
  const faults: string[] = [];
  const house = openHouse();
  const probes: SawDraft[] = [];
  const meanwhile: MeanwhileDraft = { meanwhile: [], line: 0, onlyProbe: null };
  const expected: ExpectedDraft = { expected: [], nothingElseLine: null };
  const later: { text: string; line: number }[] = [];
  let title = '';
  let take: ((line: string, at: number) => LineFault | null) | null = null;
  const tell = (line: number, { what, must, got, doThis }: LineFault) =>
    faults.push(`SCENARIO_LINE: ${name}:${line}: ${what} must be ${must}, got ${got}. ${doThis}`);
  const lines = text.split(/\r?\n/);
  if (lines.length > linesMax) return { ok: false, faults: [tooLong(name, lines.length)] };
  for (const [index, raw] of lines.entries()) {
    const at = index + 1;
    const line = raw.replace(/(^|\s)#.*$/, '').trimEnd();
    if (line.trim() === '') continue;
    const indented = /^\s/.test(line);
    const trimmed = line.trim();
    const saw = sawHead.exec(trimmed);
    if (!indented && title === '') {
      title = trimmed;
    } else if (indented && take !== null) {
      const fault = take(trimmed, at);
      if (fault !== null) tell(at, fault);
    } else if (trimmed === 'house:') {
      take = (text) => takeHouseLine(text, house);
    } else if (saw !== null) {
      const draft = openSaw(saw[1] as string, at);
      probes.push(draft);
      take = (text) => takeLine(text, sawForms, draft);
    } else if (trimmed === 'meanwhile:') {
      take = (text, line) => {
        later.push({ text, line });
        return null;
      };
    } else if (trimmed === 'must be said:') {
      take = (text, line) => takeExpectedLine(text, line, expected);
    } else {
      const got = `"${trimmed}"`;
      tell(at, {
        what: 'the line',
        must: `one of ${sections}`,
        got,
        doThis: 'Indent what belongs to a section.',
      });
      take = null;
    }
  }
  // What people say may be about the only probe, which is known once all were read.
  meanwhile.onlyProbe = probes.length === 1 ? (probes[0]?.probe ?? null) : null;
  for (const { text: said, line } of later) {
    meanwhile.line = line;
    const fault = takeLine(said, meanwhileForms, meanwhile);
    if (fault !== null) tell(line, fault);
  }
  for (const { place, measures } of Object.values(house.probes)) {
    for (const known of [place, measures]) {
      const fault = known === null ? null : knowPlace(house, known);
      if (fault !== null) tell(1, fault);
    }
  }
  const whole = faults.length === 0;
  if (whole && probes.length === 0) faults.push(nothing(name, 'what a probe saw', 'the probe jar saw:'));
  if (whole && expected.expected.length === 0 && expected.nothingElseLine === null)
    faults.push(nothing(name, 'what must be said', 'must be said:'));
  if (faults.length > 0) return { ok: false, faults };
  const { nothingElseLine } = expected;
  const scenario = { name, title, house: houseTold(house), probes, meanwhile: meanwhile.meanwhile };
  return { ok: true, scenario: { ...scenario, expected: expected.expected, nothingElseLine } };
}

function tooLong(name: string, count: number): string {
  return `SCENARIO_LONG: ${name} must be at most ${linesMax} lines, got ${count}. Write it as two scenarios.`;
}

function nothing(name: string, what: string, section: string): string {
  return `SCENARIO_EMPTY: ${name} must say ${what}, got nothing of it. Add a section "${section}".`;
}
