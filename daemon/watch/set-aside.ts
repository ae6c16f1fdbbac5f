/** What becomes of a lane that throws: it is begun anew, its watches end as doubted, and a person is told. */
import type { Happening } from '../../shared/contract/event.ts';
import { type Lane, openLane } from './lane.ts';

/** A probe that throws again and again is told of once in so long. */
const tellAgainMs = 3_600_000;

/**
 * Returns a fresh lane in place of one that threw at the input it had just taken, with what is to be said.
 * The step is pure: the same input would throw again after every restart, so it is set aside at once, and
 * the other lanes go on.
 */
export function setAside(lane: Lane, atMs: number): { lane: Lane; events: Happening[] } {
  const { probe, inputSeq } = lane;
  const fresh: Lane = { ...openLane(probe), inputSeq, sitting: lane.sitting };
  if (lane.learnt !== undefined) fresh.learnt = lane.learnt;
  const open = [lane.chill, lane.keep, lane.heat, lane.hold].flatMap((watch) =>
    watch === null ? [] : [watch.id],
  );
  const toldMs = lane.doubtedMs ?? Number.NEGATIVE_INFINITY;
  const tells = open.length > 0 || atMs - toldMs >= tellAgainMs;
  fresh.doubtedMs = tells ? atMs : toldMs;
  const head = {
    atMs,
    by: { kind: 'daemon', id: 'watch' } as const,
    because: [],
  };
  const ended = open.map(
    (watch): Happening => ({
      ...head,
      kind: 'watch-ended',
      id: `${watch}/watch-ended/doubted`,
      about: { watch: [watch], probe: [probe] },
      body: { watch, reason: 'doubted', met: null, crossedAtMs: null },
    }),
  );
  const doubted: Happening = {
    ...head,
    kind: 'probe-doubted',
    id: `house/probe-doubted/${probe}-${inputSeq}`,
    about: { probe: [probe], ...(open.length === 0 ? {} : { watch: open }) },
    body: { weight: 'alarm', watch: open[0] ?? null, probe },
  };
  return { lane: fresh, events: tells ? [...ended, doubted] : ended };
}
