/** Jars of one set-up that miss again and again: one standing word instead of a warning each. */
import type { HappeningOf } from '../../../shared/contract/event.ts';
import { type CoolingRuleId, coolingDeadlines, coolingRules } from '../../../shared/dairy/cooling-rules.ts';
import type { Manners, Run } from './state.ts';

/** What decides how fast a jar cools, as far as the house knows it. */
export type SetUp = { place: string | null; material: string | null; volumeL: number | null };

/** After this many misses in a row a set-up is known, and a further warning says nothing new. */
export const missesKnown = 3;

/** Volumes that differ by no more than this share of the larger are one set-up. */
const sameVolumeShare = 0.2;

/** Watches remembered for their set-up; the oldest is forgotten beyond, and its jar counts in no run. */
export const watchesMax = 1_000;

/** Whether two jars are of one set-up. */
export function isSameSetUp(a: SetUp, b: SetUp): boolean {
  if (a.place !== b.place || a.material !== b.material) return false;
  if (a.volumeL === null || b.volumeL === null) return a.volumeL === b.volumeL;
  return Math.abs(a.volumeL - b.volumeL) <= sameVolumeShare * Math.max(a.volumeL, b.volumeL);
}

/** Notes where a probe now hangs. */
export function noteSitting(state: Manners, { body }: HappeningOf<'sitting-opened'>): void {
  const { probe, place, material, volumeL } = body;
  state.sittings[probe] = { place, material, volumeL };
}

/** Notes in which set-up a watch began. */
export function noteWatch(state: Manners, { body }: HappeningOf<'watch-opened'>): void {
  const setUp = state.sittings[body.probe];
  if (setUp === undefined || !body.watch.startsWith('chill-')) return;
  state.watches[body.watch] = { probe: body.probe, setUp };
  const ids = Object.keys(state.watches);
  if (ids.length > watchesMax) delete state.watches[ids[0] as string];
}

/** Notes what a person told of a vessel, for the sitting and the watch that is open on it. */
export function noteVessel(
  state: Manners,
  told: { probe: string; volumeL?: number | undefined; material?: string | undefined },
): void {
  const sitting = state.sittings[told.probe];
  if (sitting === undefined) return;
  const setUp = {
    ...sitting,
    volumeL: told.volumeL ?? sitting.volumeL,
    material: told.material ?? sitting.material,
  };
  state.sittings[told.probe] = setUp;
  for (const watch of Object.values(state.watches)) if (watch.probe === told.probe) watch.setUp = setUp;
}

/** A jar missed its hour: one more in a row, or the first of another set-up at its place. */
export function noteMiss(state: Manners, watch: string): void {
  const known = state.watches[watch];
  if (known === undefined) return;
  const place = known.setUp.place ?? '';
  const run = state.runs[place];
  if (run !== undefined && isSameSetUp(run.setUp, known.setUp)) run.misses += 1;
  else state.runs[place] = { setUp: known.setUp, misses: 1, standing: false };
}

/** A jar made it: the quiet of its place is over. */
export function noteMade(state: Manners, watch: string): void {
  const known = state.watches[watch];
  if (known !== undefined) delete state.runs[known.setUp.place ?? ''];
}

/** The run that makes a warning of this jar nothing new; null where it is to be warned of. */
export function knownRun(
  state: Manners,
  { body }: HappeningOf<'chill-will-miss'>,
  region: CoolingRuleId,
): Run | null {
  const known = state.watches[body.watch];
  if (known === undefined) return null;
  const run = state.runs[known.setUp.place ?? ''];
  if (run === undefined) return null;
  if (!isSameSetUp(run.setUp, known.setUp)) {
    // Any change ends the quiet, also for what comes after it.
    delete state.runs[known.setUp.place ?? ''];
    return null;
  }
  return run.misses >= missesKnown && keepsOuter(body, region) ? run : null;
}

/**
 * Whether the milk will surely keep the region's own windows though it misses the house's. Known only where the
 * house's limit is at least as cold as the region's, since the crossing is of the house's.
 */
function keepsOuter(
  { crossing, window }: HappeningOf<'chill-will-miss'>['body'],
  region: CoolingRuleId,
): boolean {
  const lateMs = crossing.p90;
  if (lateMs === null) return false;
  // Of a milking whose start is not known here, the start is taken early: rather a warning more.
  const deadlines = coolingDeadlines(coolingRules[region], { startMs: null, endMs: window.originMs });
  return deadlines.every(({ limitC, deadlineMs }) => window.limitC <= limitC && lateMs <= deadlineMs);
}
