/** What each notice does to the matter that it is about. */
import type { HappeningOf, NoticeCode } from '../../../shared/contract/event.ts';

export type NoticeEvent = { [K in NoticeCode]: HappeningOf<K> }[NoticeCode];

/**
 * `opens` a matter or brings news of the open one; `updates` the open one, or stands alone; `closes` it, or
 * stands alone; `tells` once.
 */
type Does = 'opens' | 'updates' | 'closes' | 'tells';

const topics: Readonly<Record<NoticeCode, { topic: string; does: Does }>> = {
  'chill-will-miss': { topic: 'course', does: 'opens' },
  'chill-missed': { topic: 'course', does: 'updates' },
  'chill-made': { topic: 'course', does: 'closes' },
  'chill-late': { topic: 'course', does: 'closes' },
  'outer-will-miss': { topic: 'outer', does: 'opens' },
  'outer-missed': { topic: 'outer', does: 'opens' },
  'outer-made': { topic: 'outer', does: 'closes' },
  'freeze-near': { topic: 'freeze', does: 'opens' },
  'heat-near': { topic: 'cue', does: 'tells' },
  'heat-off-now': { topic: 'cue', does: 'tells' },
  'heat-will-not-reach': { topic: 'course', does: 'opens' },
  'heat-reached': { topic: 'course', does: 'closes' },
  'heat-over': { topic: 'over', does: 'tells' },
  'heat-missed': { topic: 'course', does: 'updates' },
  'heat-stir': { topic: 'stir', does: 'tells' },
  'hold-broken': { topic: 'again', does: 'tells' },
  'hold-will-drift': { topic: 'course', does: 'opens' },
  'hold-proved': { topic: 'course', does: 'closes' },
  'hold-cooled': { topic: 'cooled', does: 'tells' },
  'keep-will-leave': { topic: 'course', does: 'opens' },
  'keep-left': { topic: 'course', does: 'opens' },
  'keep-back': { topic: 'course', does: 'closes' },
  'keep-drifts': { topic: 'drift', does: 'tells' },
  'probe-silent': { topic: 'silence', does: 'opens' },
  'probe-heard': { topic: 'silence', does: 'closes' },
  'probe-doubted': { topic: 'doubt', does: 'opens' },
  'probe-trusted': { topic: 'doubt', does: 'closes' },
  'way-failed': { topic: 'way', does: 'opens' },
  'way-works': { topic: 'way', does: 'closes' },
  'disk-refuses': { topic: 'disk', does: 'opens' },
  'disk-takes': { topic: 'disk', does: 'closes' },
};

/** Which matter an event is about, and what it does to it. */
export function topicOf(event: NoticeEvent): { matter: string; does: Does } {
  const { topic, does } = topics[event.kind];
  return { matter: `${subjectOf(event)}:${topic}`, does };
}

function subjectOf(event: NoticeEvent): string {
  if (event.kind === 'way-failed' || event.kind === 'way-works') return `way-${event.body.way}`;
  if (event.kind === 'disk-refuses' || event.kind === 'disk-takes') return 'house';
  if (event.kind === 'probe-silent' || event.kind === 'probe-heard') return `probe-${event.body.probe}`;
  if (event.kind === 'probe-doubted' || event.kind === 'probe-trusted') return `probe-${event.body.probe}`;
  return event.body.watch;
}

/** The last instant at which the best rescue that an event offers still works; null where it offers none. */
export function remindAtMsOf(event: NoticeEvent): number | null {
  switch (event.kind) {
    case 'chill-will-miss':
    case 'outer-will-miss':
      return event.body.rescue?.lastUsefulAtMs ?? null;
    case 'freeze-near':
      return event.body.nearMs;
    case 'keep-will-leave':
      return event.body.crossing.p10;
    default:
      return null;
  }
}
