/** Which lanes of the watching are kept, and when, so that a restart goes on where they were. Wiring. */
import type { Snapshots } from './keeping.ts';
import { type Lane, laneVersion } from './watch/lane.ts';
import type { Watching } from './watch/step.ts';

export type LaneKeepingOptions = {
  watching: Watching;
  /** Lanes whose snapshot on disk can be read. */
  kept: Iterable<string>;
  /** The number of the newest input that the lanes have taken. */
  inputSeq: () => number;
  keep: (snapshots: Snapshots) => void;
  nowMs: () => number;
};

export type LaneKeeping = {
  /** This lane has taken something since it was kept. */
  touch(probe: string): void;
  /** Keeps these lanes. */
  keep(probes: Iterable<string>): void;
  keepAll(): void;
  /** Keeps what is due: lanes with an open chill, heat or hold each minute, all of them each 15 min. */
  keepDue(): void;
};

/** How often the lane of an open chill, heat or hold is kept, and all lanes. */
const quickKeptEveryMs = 60_000;
const lanesKeptEveryMs = 15 * 60_000;

/** Opens the keeping of lanes; the first ones are due a minute from now. */
export function openLaneKeeping(options: LaneKeepingOptions): LaneKeeping {
  const { watching, inputSeq, nowMs } = options;
  const kept = new Set(options.kept);
  const touched = new Set<string>();
  let lanesKeptMs = nowMs();
  let quickKeptMs = nowMs();

  function keep(probes: Iterable<string>): void {
    const wanted = new Set(probes);
    // A restart begins after the oldest snapshot: a lane that has none yet would lose what came before it.
    for (const probe of watching.lanes.keys()) if (!kept.has(probe)) wanted.add(probe);
    options.keep(snapshotsOf(watching, wanted, inputSeq()));
    for (const probe of wanted) kept.add(probe);
  }

  const keepAll = (): void => keep(watching.lanes.keys());
  return {
    touch: (probe) => {
      touched.add(probe);
    },
    keep,
    keepAll,
    keepDue: () => {
      const now = nowMs();
      if (now - quickKeptMs < quickKeptEveryMs) return;
      quickKeptMs = now;
      if (now - lanesKeptMs >= lanesKeptEveryMs) {
        lanesKeptMs = now;
        keepAll();
      } else {
        const open = [...touched].filter((probe) => isQuick(watching.lanes.get(probe)));
        if (open.length > 0) keep(open);
      }
      touched.clear();
    },
  };
}

function isQuick(lane: Lane | undefined): boolean {
  return lane !== undefined && (lane.chill !== null || lane.heat !== null || lane.hold !== null);
}

/** A kept lane that cannot be read is rebuilt from this many inputs before it. */
const rebuildInputs = 500_000;

/** Reads what was kept: the lanes, and the number after which inputs must be stepped again. */
export function lanesOf(snapshots: Snapshots): { lanes: Lane[]; fromSeq: number } {
  const lanes: Lane[] = [];
  let fromSeq = snapshots.length === 0 ? 0 : Number.POSITIVE_INFINITY;
  for (const { stateVersion, inputSeq, body } of snapshots) {
    if (stateVersion !== laneVersion) {
      fromSeq = Math.min(fromSeq, Math.max(0, inputSeq - rebuildInputs));
      continue;
    }
    fromSeq = Math.min(fromSeq, inputSeq);
    lanes.push({ ...(JSON.parse(body) as Lane), inputSeq });
  }
  return { lanes, fromSeq };
}

function snapshotsOf(watching: Watching, probes: Iterable<string>, inputSeq: number): Snapshots {
  const snapshots: Snapshots[number][] = [];
  for (const probe of probes) {
    const lane = watching.lanes.get(probe);
    if (lane === undefined) continue;
    snapshots.push({ lane: probe, stateVersion: laneVersion, inputSeq, body: JSON.stringify(lane) });
  }
  return snapshots;
}
