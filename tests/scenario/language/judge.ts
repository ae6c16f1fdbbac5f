/** Holds what was said against what must be said; each failure names its line. */
import { isNotice } from '../../../shared/contract/event.ts';
import { midnightMs, type Said } from './play.ts';
import { formatWall } from './quantities.ts';
import type { Clause, Expected, Near, Scenario } from './scenario.ts';

/** Returns what does not hold, in the order of lines; nothing where all does. */
export function judgeScenario(scenario: Scenario, said: readonly Said[]): string[] {
  const failures: string[] = [];
  const named = new Set<Said>();
  for (const expected of scenario.expected) {
    const fit = said.filter((one) => isMeant(one, expected));
    const inTime = fit.filter(({ wallMs }) => wallMs >= expected.fromMs && wallMs <= expected.toMs);
    for (const one of inTime) named.add(one);
    const failure = judgeLine(expected, inTime, said);
    if (failure !== null) failures.push(`${scenario.name}:${expected.line}: "${expected.text}": ${failure}`);
  }
  if (scenario.nothingElseLine === null) return failures;
  for (const one of said) {
    if (!isNotice(one.event) || named.has(one)) continue;
    failures.push(`${scenario.name}:${scenario.nothingElseLine}: "nothing else": but ${tell(one)}`);
  }
  return failures;
}

/** One line of what was said: `6:44 chill-made (tell): …`. */
export function tell({ event, text, wallMs }: Said): string {
  const weight = isNotice(event) ? ` (${event.body.weight})` : '';
  return `${formatWall(wallMs)} ${event.kind}${weight}${text === null ? '' : `: ${text}`}`;
}

function judgeLine(expected: Expected, inTime: readonly Said[], said: readonly Said[]): string | null {
  const [first] = inTime;
  if (expected.how === 'never') return first === undefined ? null : `but ${tell(first)}`;
  if (first === undefined) {
    const kind = said.filter((one) => isKind(one, expected));
    return kind.length === 0 ? 'it was not said' : `said then: ${kind.map(tell).join('; ')}`;
  }
  if (expected.how === 'once' && inTime.length > 1) return `it was said ${inTime.length} times`;
  return null;
}

function isKind({ event }: Said, { saying, weight }: Expected): boolean {
  switch (saying) {
    case 'watch begins':
      return event.kind === 'watch-opened';
    case 'watch ends':
      return event.kind === 'watch-ended';
    case 'notice':
      break;
    default:
      if (event.kind !== saying) return false;
  }
  if (!isNotice(event)) return false;
  if (weight === null) return true;
  return weight === 'warning' ? event.body.weight !== 'tell' : event.body.weight === weight;
}

function isMeant(said: Said, expected: Expected): boolean {
  return isKind(said, expected) && expected.clauses.every((clause) => holds(said, clause));
}

function holds({ event, probe, text }: Said, clause: Clause): boolean {
  const body = event.body as Record<string, unknown>;
  switch (clause.kind) {
    case 'of':
      return probe === clause.probe;
    case 'words':
      return text !== null && plain(text).includes(plain(clause.text));
    case 'because':
      return body.reason === clause.reason || body.cause === clause.reason;
    case 'since':
      return isNear(body.sinceMs, clause.near) || isNear(body.causeSinceMs, clause.near);
    case 'near':
      return [body.crossedAtMs, body.leftAtMs, (body.crossing as { p50?: unknown } | undefined)?.p50].some(
        (atMs) => isNear(atMs, clause.near),
      );
    default:
      return clause satisfies never;
  }
}

/** Case and no-break spaces are no words. */
function plain(text: string): string {
  return text.toLowerCase().replaceAll('\u00a0', ' ');
}

function isNear(atMs: unknown, near: Near): boolean {
  return typeof atMs === 'number' && Math.abs(atMs - midnightMs - near.atMs) <= near.withinMs;
}
