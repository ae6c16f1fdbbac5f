/** When a chill that will miss is told to a person: persistence, threshold and hysteresis, as plain data. */
import type { Verdict } from '../../shared/contract/forecast.ts';
import type { ChillOutlook, ChillQuestion } from './chill-forecast.ts';
import { logOdds } from './correction-features.ts';

/** What the weighing remembers from one outlook to the next. */
export type WarningState = {
  verdict: Verdict;
  /** The log-odds of making it, smoothed over `smoothedMin` of data. */
  lean: number;
  /** The instant of the last outlook; null before the first. */
  leanAtMs: number | null;
  warned: boolean;
};

/**
 * The rule, chosen from the trade-off in deploy/docs/skill.md: warn where the smoothed log-odds have come down
 * to the threshold and the chance is low now, not before `notBeforeMs` after the milk went in. A told place
 * needs less proof, since early forecasts are better there.
 */
export const warningRule = {
  smoothedMin: 3,
  leanTold: -2.3,
  leanUntold: -2.65,
  lowChance: 0.15,
  notBeforeMs: 6 * 60_000,
  onCourseFrom: 0.65,
  notOnCourseTo: 0.35,
  /** How far a chance must come back before a verdict is given up. */
  hysteresis: 0.15,
};
export type WarningRule = Readonly<typeof warningRule>;

/** The first outlook, and one after a gap or a clock step, counts as at most this much data. */
const countedMsMax = 60_000;
const firstCountedMs = 30_000;

/** Returns the state before the first outlook. */
export function openWarning(): WarningState {
  return { verdict: 'unsure', lean: 0, leanAtMs: null, warned: false };
}

/** Weighs one more outlook: the new state, the verdict, and whether to warn now (once for each state). */
export function weighWarning(
  state: WarningState,
  outlook: ChillOutlook,
  question: ChillQuestion,
  atMs: number,
  rule: WarningRule = warningRule,
): { state: WarningState; verdict: Verdict; warn: boolean } {
  const passedMs = state.leanAtMs === null ? firstCountedMs : atMs - state.leanAtMs;
  const countedMs = Math.min(countedMsMax, Math.max(0, passedMs));
  const share = 1 - Math.exp(-countedMs / 60_000 / rule.smoothedMin);
  const lean = state.lean + share * (logOdds(outlook.chance) - state.lean);
  const enough = question.told.place === null ? rule.leanUntold : rule.leanTold;
  const low = lean <= enough && outlook.chance <= rule.lowChance;
  const warn = !state.warned && low && atMs - question.sinceMs >= rule.notBeforeMs;
  const verdict = warn ? 'not-on-course' : nextVerdict(state.verdict, outlook.chance);
  return { state: { verdict, lean, leanAtMs: atMs, warned: state.warned || warn }, verdict, warn };
}

function nextVerdict(verdict: Verdict, chance: number): Verdict {
  const { onCourseFrom, notOnCourseTo, hysteresis } = warningRule;
  if (chance >= onCourseFrom) return 'on-course';
  if (chance <= notOnCourseTo) return 'not-on-course';
  if (verdict === 'on-course' && chance >= onCourseFrom - hysteresis) return verdict;
  if (verdict === 'not-on-course' && chance <= notOnCourseTo + hysteresis) return verdict;
  return 'unsure';
}
