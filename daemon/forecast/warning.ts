/** When a chill that will miss is told to a person: persistence, threshold and hysteresis, as plain data. */
import type { Verdict } from '../../shared/contract/forecast.ts';
import type { ChillOutlook, ChillQuestion } from './chill-forecast.ts';

/** What the weighing remembers from one outlook to the next. */
export type WarningState = {
  verdict: Verdict;
  /** Since when the chance has been low without a break; null while it is not. */
  lowSinceMs: number | null;
  warned: boolean;
};

/**
 * The rule, chosen from the trade-off in deploy/docs/skill.md: warn where the chance has stayed at or under
 * `lowChance` for `lowForMs` of data, not before `notBeforeMs` after the milk went in.
 */
export const warningRule = {
  lowChance: 0.12,
  lowForMs: 90_000,
  notBeforeMs: 6 * 60_000,
  onCourseFrom: 0.65,
  notOnCourseTo: 0.35,
  /** How far a chance must come back before a verdict is given up. */
  hysteresis: 0.15,
} as const;

/** Returns the state before the first outlook. */
export function openWarning(): WarningState {
  return { verdict: 'unsure', lowSinceMs: null, warned: false };
}

/** Weighs one more outlook: the new state, the verdict, and whether to warn now (once for each state). */
export function weighWarning(
  state: WarningState,
  outlook: ChillOutlook,
  question: ChillQuestion,
  atMs: number,
): { state: WarningState; verdict: Verdict; warn: boolean } {
  const low = outlook.chance <= warningRule.lowChance;
  const lowSinceMs = low ? (state.lowSinceMs ?? atMs) : null;
  const lasts = lowSinceMs !== null && atMs - lowSinceMs >= warningRule.lowForMs;
  const warn = !state.warned && lasts && atMs - question.sinceMs >= warningRule.notBeforeMs;
  const verdict = warn ? 'not-on-course' : nextVerdict(state.verdict, outlook.chance);
  return { state: { verdict, lowSinceMs, warned: state.warned || warn }, verdict, warn };
}

function nextVerdict(verdict: Verdict, chance: number): Verdict {
  const { onCourseFrom, notOnCourseTo, hysteresis } = warningRule;
  if (chance >= onCourseFrom) return 'on-course';
  if (chance <= notOnCourseTo) return 'not-on-course';
  if (verdict === 'on-course' && chance >= onCourseFrom - hysteresis) return verdict;
  if (verdict === 'not-on-course' && chance <= notOnCourseTo + hysteresis) return verdict;
  return 'unsure';
}
