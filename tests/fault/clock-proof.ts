/**
 * The clock proof: real restarts of a real daemon on a machine whose clock is wrong, is set, becomes right, or was off
 * for nobody knows how long. Holds and deadlines come out at the true instant to the millisecond, nothing is said twice,
 * no reading is lost, and every notice leaves the house.
 */
import { openRandom } from '../../probes/simulated/random.ts';
import { isNotice, type RecordEvent } from '../../shared/contract/event.ts';
import type { ClockFault } from './clock-daemon.ts';
import { type ClockScene, clockProbes, clockScenes, type Wanted } from './clock-scenes.ts';
import { type ClockWorld, openClockWorld, type TimedEvent } from './clock-world.ts';
import { keptReadings } from './kept-readings.ts';

export type ClockReport = {
  proof: 'clock';
  scene: ClockScene;
  fault: ClockFault | 'none';
  seed: number;
  readings: number;
  steps: number;
  restarts: number;
  /** Holds, deadlines and breaks that were to be told, each at its instant. */
  wanted: number;
  /** Those that were not told, or at another instant; and what was told beyond them. */
  missing: string[];
  unwanted: string[];
  /** Events that are in the record twice. */
  doubled: number;
  /** Notices that no letter brought. */
  lostNotices: number;
  /** Readings that are not in the history once, at their true instant where it can be known. */
  lostReadings: number;
  spanMs: number;
};

/** Every scene, and every scene with the fault that it must find out. */
export const clockPlays: readonly (readonly [ClockScene, ClockFault | null])[] = [
  ['steps', null],
  ['learned', null],
  ['restored', null],
  ['saving-time', null],
  ['steps', 'settable'],
  ['learned', 'believes'],
  ['restored', 'believes'],
  ['saving-time', 'settable'],
];

/** True where the house said, kept or sent anything wrong. */
export function isClockWrong(report: ClockReport): boolean {
  const { missing, unwanted, doubled, lostNotices, lostReadings } = report;
  return missing.length + unwanted.length + doubled + lostNotices + lostReadings > 0;
}

/** Between two readings of a probe. */
const everyMs = { small: 30_000, full: 10_000 };

/** Plays one scene; with a `fault` the daemon is wrong in it, and the report must show that. */
export async function proveClock(o: {
  scene: ClockScene;
  seed: number;
  size: 'small' | 'full';
  fault?: ClockFault;
}): Promise<ClockReport> {
  const fromMs = performance.now();
  const { script, ...machine } = clockScenes[o.scene];
  const world = await openClockWorld({
    ...machine,
    probes: clockProbes,
    ...(o.fault === undefined ? {} : { fault: o.fault }),
  });
  try {
    const played = await script(world, openRandom(o.seed, o.scene), everyMs[o.size]);
    await world.drain();
    const record = await world.record();
    const lostNotices = noticesLost(world, record);
    await world.home.stop();
    const told = record.flatMap(toldOf);
    return {
      proof: 'clock',
      scene: o.scene,
      fault: o.fault ?? 'none',
      seed: o.seed,
      readings: played.readings,
      steps: record.filter(({ event }) => event.kind === 'clock-stepped').length,
      restarts: record.filter(({ event }) => event.kind === 'house-started').length - 1,
      wanted: played.wanted.length,
      missing: without(played.wanted, told),
      unwanted: without(told, played.wanted),
      doubled: record.length - new Set(record.map(({ event }) => event.id)).size,
      lostNotices,
      lostReadings: await readingsLost(world, played),
      spanMs: Math.round(performance.now() - fromMs),
    };
  } finally {
    await world.close();
  }
}

/** What was told that has an instant of its own: a hold, its breaks, a deadline. */
function toldOf({ event, trueMs }: TimedEvent): Wanted[] {
  switch (event.kind) {
    case 'hold-proved': {
      const { fromMs, toMs } = event.body.proof;
      return [{ what: 'hold-proved', trueMs, heldMs: toMs - fromMs }];
    }
    case 'hold-broken': {
      const { why, heldMs } = event.body;
      return [{ what: `hold-broken by ${why}`, trueMs: why === 'restart' ? null : trueMs, heldMs }];
    }
    case 'chill-missed':
    case 'chill-made':
      return [{ what: event.kind, trueMs, heldMs: 0 }];
    default:
      return [];
  }
}

/** Those of one list that the other has not, in words. */
function without(these: readonly Wanted[], those: readonly Wanted[]): string[] {
  const words = ({ what, trueMs, heldMs }: Wanted) =>
    `${what} at ${trueMs === null ? 'any time' : new Date(trueMs).toISOString()}, held ${heldMs} ms`;
  const others = new Set(those.map(words));
  return these.map(words).filter((line) => !others.has(line));
}

/** Letters may bring several notices; those of the hook name them all in their ids or stand alone. */
function noticesLost({ receiver }: ClockWorld, record: readonly TimedEvent[]): number {
  const arrived = new Set(receiver.calls.flatMap(({ event: { data } }) => data.event?.id ?? []));
  const single = (event: RecordEvent) =>
    isNotice(event) && /^(hold|chill)-(proved|broken|missed|made|will-miss)$/.test(event.kind);
  return record.filter(({ event }) => single(event) && !arrived.has(event.id)).length;
}

async function readingsLost(
  { home }: ClockWorld,
  { sent, readings }: { sent: readonly { probe: string; trueMs: number }[]; readings: number },
): Promise<number> {
  let kept = 0;
  const at = new Set<string>();
  for await (const { probe, atMs } of keptReadings(home.dataDir, clockProbes)) {
    kept += 1;
    at.add(`${probe} ${atMs}`);
  }
  return sent.filter(({ probe, trueMs }) => !at.has(`${probe} ${trueMs}`)).length + Math.abs(kept - readings);
}
