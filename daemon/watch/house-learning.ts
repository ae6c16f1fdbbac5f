/** What the house has learned, kept with the lane whose chill taught it last and known to all. */
import type { Happening } from '../../shared/contract/event.ts';
import type { HousePrior, Lesson } from '../../shared/contract/prior.ts';
import { learn } from '../forecast/house-prior.ts';
import { crossedLesson, priorEventId } from './chill-lesson.ts';
import type { Lane } from './lane.ts';
import type { WatchRules } from './rules.ts';

/** A prior and the input that led to it, so that of two lanes' the newer one is known. */
export type Learnt = { prior: HousePrior; inputSeq: number };

/** The newest of what the lanes keep; null where nothing was learned. */
export function newestLearnt(lanes: Iterable<Lane>): Learnt | null {
  let newest: Learnt | null = null;
  for (const { learnt } of lanes) {
    if (learnt !== undefined && learnt.inputSeq >= (newest?.inputSeq ?? 0)) newest = learnt;
  }
  return newest;
}

/** The rules with what the house has learned, unless they bring a prior of their own. */
export function rulesWith(learnt: Learnt | null, rules: WatchRules): WatchRules {
  return learnt === null || rules.prior !== undefined ? rules : { ...rules, prior: learnt.prior };
}

/** Takes what a lane's chill has taught since it was last asked into what the house knows. */
export function takeLesson(
  lane: Lane,
  learnt: Learnt | null,
  atMs: number,
): { learnt: Learnt; event: Happening } | null {
  const lesson = lane.lesson ?? (lane.chill === null ? null : crossedLesson(lane.chill));
  delete lane.lesson;
  if (lesson === null) return null;
  const prior = learn(learnt?.prior ?? null, lesson);
  lane.learnt = { prior, inputSeq: lane.inputSeq };
  return { learnt: lane.learnt, event: learnedEvent(lane, { lesson, prior, atMs }) };
}

function learnedEvent(
  lane: Lane,
  { lesson, prior, atMs }: { lesson: Lesson; prior: HousePrior; atMs: number },
): Happening {
  const [watch = ''] = lesson.id.split('/');
  return {
    kind: 'prior-learned',
    id: priorEventId(lesson.id),
    atMs,
    by: { kind: 'daemon', id: 'watch' },
    about: { watch: [watch], probe: [lane.probe], place: [lesson.place] },
    because: [{ probe: lane.probe, fromMs: lesson.endedMs - lesson.spanMs, toMs: lesson.endedMs }],
    body: { watch, lesson, prior },
  };
}

/** A person wants it forgotten: every lane forgets, and what is open goes on by what it pinned. */
export function forgetAll(
  lanes: Iterable<Lane>,
  learnt: Learnt | null,
  input: { inputSeq: number; receivedMs: number; by: string },
): { learnt: Learnt; event: Happening } {
  const { by, inputSeq, receivedMs } = input;
  const nothing: Learnt = { prior: { v: 1, lessons: [] }, inputSeq };
  for (const lane of lanes) lane.learnt = nothing;
  const event: Happening = {
    kind: 'prior-forgotten',
    id: `house/prior-forgotten/${inputSeq}`,
    atMs: receivedMs,
    by: { kind: 'person', id: by },
    about: {},
    because: [],
    body: { lessons: learnt?.prior.lessons.length ?? 0 },
  };
  return { learnt: nothing, event };
}
