/** What a keep does on a reading and on a tick. Events are values; sentences are made elsewhere. */
import type { Happening } from '../../shared/contract/event.ts';
import type { KeepCause, KeepNote } from '../../shared/contract/keep.ts';
import { notesMax } from '../../shared/contract/keep-view.ts';
import { tellCause } from '../forecast/keep-cause.ts';
import { forecastKeep, forecastPowerCut } from '../forecast/keep-forecast.ts';
import { feelKeepJar, milkOf, setInVessel } from '../forecast/keep-jar.ts';
import { feedKeepTrace } from '../forecast/keep-trace.ts';
import { contradictsMs } from './crossing.ts';
import { causeOf, type Keep } from './keep.ts';
import { countHour } from './keep-day.ts';
import { judgeMatter } from './keep-matter.ts';
import { feelEnd } from './milk-end.ts';
import { sayOf } from './saying.ts';

/** Data that must have come since the last forecast before the next is made: a minute, more while all is as usual. */
const forecastEveryMs = { least: 60_000, usual: 3 * 60_000 } as const;
/** The answer to "if the power went now" changes slowly. */
const powerCutEveryMs = 10 * 60_000;
/** Readings that come in one burst are taken as one update: the forecast waits this long for more. */
const burstMs = 20;
/** Five minutes that differ by more than this, in the mean, are air; by less than the second, milk. */
const swings = { air: 0.14, milk: 0.07 } as const;
/** How long the readings are looked at before they tell whether it is air. */
const swingAfterMs = 50 * 60_000;
/** Notes written in a day; more are left out of record and view, since a noisy probe has no doors. */
const notedInDayMax = 80;
const dayMs = 86_400_000;

/** Feeds a reading; `leftAtMs` is when the jar with this probe was taken out. */
export function feedKeep(
  keep: Keep,
  reading: { atMs: number; tempC: number; late: boolean },
  receivedMs: number,
): { events: Happening[]; leftAtMs: number | null } {
  const { atMs, tempC, late } = reading;
  const { jar, window } = keep;
  const nothing = { events: [], leftAtMs: null };
  if (atMs < keep.sinceMs) return nothing;
  // What comes late fills the curve; the milk meanwhile was bridged and stays so.
  if (late) return nothing;
  const byReadings = jar.inVessel || keep.leftByReadings;
  if (byReadings) crossBy(keep, atMs, tempC);
  const before = keep.latest;
  keep.latest = { atMs, tempC };
  keep.jar = feelKeepJar(jar, { atMs, tempC });
  const milk = milkOf(keep.jar);
  if (!byReadings && milk !== null) crossBy(keep, atMs, milk.p50);
  if (milk !== null) countHour(keep, { atMs, milkC: milk.p50, tempC, sinceMs: before?.atMs ?? atMs });
  const events = feedKeepTrace(keep.trace, { atMs, tempC }) ? closeMinute(keep, receivedMs) : [];
  if (isForecastDue(keep, atMs)) keep.forecastDueMs ??= receivedMs + burstMs;
  if (keep.inVesselTold !== true || window.highC === null) return { events, leftAtMs: null };
  const felt = feelEnd(keep.end, { atMs, tempC });
  keep.end = felt.state;
  return { events, leftAtMs: felt.left?.atMs ?? null };
}

/** Does what is due at `atMs`: the forecast, and what follows from it. */
export function tickKeep(keep: Keep, atMs: number): Happening[] {
  if (keep.forecastDueMs === null || keep.forecastDueMs > atMs) return [];
  keep.forecastDueMs = null;
  const question = { window: keep.window, marginC: keep.marginC };
  const cause = causeOf(keep);
  keep.outlook = forecastKeep(keep, question, cause);
  if (cause === 'power-off') keep.ifPowerWent = null;
  else if (keep.latest !== null && keep.latest.atMs - (keep.ifPowerWent?.dataToMs ?? 0) >= powerCutEveryMs)
    keep.ifPowerWent = forecastPowerCut(keep, question);
  if (keep.outlook === null) return [];
  keep.forecastDataMs = keep.outlook.dataToMs;
  return judgeMatter(keep, atMs);
}

/** When this keep wants the next tick; Infinity where only a reading can change anything. */
export function keepWakeMs(keep: Keep): number {
  return keep.forecastDueMs ?? Number.POSITIVE_INFINITY;
}

function isForecastDue(keep: Keep, atMs: number): boolean {
  if (keep.forecastDataMs === null) return true;
  const calm = keep.matter === null && (keep.telling.cause === 'usual' || keep.telling.cause === 'settling');
  return atMs - keep.forecastDataMs >= (calm ? forecastEveryMs.usual : forecastEveryMs.least);
}

function crossBy({ left, window }: Keep, atMs: number, tempC: number): void {
  if (left.atMs !== null) return;
  const { lowC, highC } = window;
  const beyond = (highC !== null && tempC > highC) || (lowC !== null && tempC < lowC);
  if (left.candidateMs !== null && atMs - left.candidateMs > contradictsMs) left.atMs = left.candidateMs;
  else left.candidateMs = beyond ? (left.candidateMs ?? atMs) : null;
}

function closeMinute(keep: Keep, receivedMs: number): Happening[] {
  tellWhere(keep);
  const before = causeOf(keep);
  const { ended } = tellCause(keep.telling, keep.trace, keep.jar.inVessel);
  if (!isWarming(keep.telling.cause)) keep.powerOffMs = null;
  if (ended === null) return [];
  const cause = ended.cause === keep.telling.cause || !isWarming(ended.cause) ? ended.cause : before;
  const note: KeepNote = {
    cause,
    fromMs: Math.round(ended.fromMin * 60_000),
    toMs: Math.round(ended.toMin * 60_000),
    mostC: ended.mostC,
  };
  const day = Math.floor((note.toMs as number) / dayMs);
  if (keep.notedOn[0] !== day) keep.notedOn = [day, 0];
  keep.notedOn[1] += 1;
  if (keep.notedOn[1] > notedInDayMax) return [];
  keep.notes.push(note);
  if (keep.notes.length > notesMax) keep.notes.shift();
  return [sayOf(keep, { kind: 'keep-noted', atMs: receivedMs, body: { watch: keep.id, note } })];
}

function isWarming(cause: KeepCause): boolean {
  return cause === 'cooling-stopped' || cause === 'warming';
}

/** Where nobody said whether the probe hangs in a vessel, its minutes tell: air swings, milk does not. */
function tellWhere(keep: Keep): void {
  if (keep.inVesselTold !== null) return;
  const { bins } = keep.trace;
  const newest = bins.at(-1);
  const before = bins.findLast(([min]) => newest !== undefined && min <= newest[0] - 5);
  if (newest === undefined || before === undefined) return;
  const differs = Math.max(0, Math.abs(newest[1] - before[1]) - 2 * keep.trace.noiseC);
  keep.swingC += (Math.min(differs, 1) - keep.swingC) * 0.03;
  if (newest[0] * 60_000 - keep.sinceMs < swingAfterMs) return;
  if (keep.swingC > swings.air) keep.jar = setInVessel(keep.jar, false);
  else if (keep.swingC < swings.milk) keep.jar = setInVessel(keep.jar, true);
}
