/** From stories of ways out to the figures of their table. */
import type { RescueKind } from '../../../shared/contract/forecast.ts';
import { rescueSureFrom } from '../../../shared/dairy/offered-rescue.ts';
import { type Mode, modes } from '../follow-jar.ts';
import type { RescueStory } from './follow-rescues.ts';

/** How one kind of way out did; shares are NaN where there was none to count. */
export type RescueScore = {
  mode: Mode;
  kind: RescueKind | 'all';
  told: number;
  /** Called "would make it", and the share of them that did. */
  called: number;
  made: number;
  /** Done at the last useful instant that was told with the call, the share that made it. */
  madeAtLast: number;
  /** Not called so, and the share of them that would have. */
  notCalled: number;
  notCalledMade: number;
  brier: number;
};

/** Scores each kind, in both modes, then all kinds together. */
export function scoreRescues(stories: readonly RescueStory[]): RescueScore[] {
  const kinds = [...new Set(stories.map(({ kind }) => kind))].sort();
  return modes.flatMap((mode) => {
    const own = stories.filter((story) => story.mode === mode);
    const scores = kinds.map((kind) =>
      scoreOf(
        mode,
        kind,
        own.filter((story) => story.kind === kind),
      ),
    );
    return [...scores, scoreOf(mode, 'all', own)].filter(({ told }) => told > 0);
  });
}

function scoreOf(mode: Mode, kind: RescueScore['kind'], stories: readonly RescueStory[]): RescueScore {
  const called = stories.filter(({ chance }) => chance >= rescueSureFrom);
  const rest = stories.filter(({ chance }) => chance < rescueSureFrom);
  const last = stories.flatMap(({ madeAtLast }) => (madeAtLast === null ? [] : [madeAtLast]));
  return {
    mode,
    kind,
    told: stories.length,
    called: called.length,
    made: called.filter(({ made }) => made).length / called.length,
    madeAtLast: last.filter(Boolean).length / last.length,
    notCalled: rest.length,
    notCalledMade: rest.filter(({ made }) => made).length / rest.length,
    brier:
      stories.reduce((sum, { chance, made }) => sum + (chance - (made ? 1 : 0)) ** 2, 0) / stories.length,
  };
}
