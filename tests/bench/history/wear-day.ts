/**
 * Plays hours of the house in `wear-house.ts` through the intake's cadence, the disk and the watching on a clock of
 * its own, and prints what was written:
 *
 *   node tests/bench/history/wear-day.ts DIR SEED SECONDS serial|qos1
 */
import { readFileSync } from 'node:fs';
import { openDisk } from '../../../daemon/disk.ts';
import { rulesOfHouse } from '../../../daemon/house-rules.ts';
import { mannersOfHouse } from '../../../daemon/house-ways.ts';
import { openArrivals } from '../../../daemon/intake/arrivals.ts';
import { gatherSpanMs } from '../../../daemon/intake/cadence.ts';
import { commitMax } from '../../../daemon/intake/committing.ts';
import { openCounts } from '../../../daemon/intake/counts.ts';
import { itemOf, settleGroup } from '../../../daemon/intake/group.ts';
import { openQueue } from '../../../daemon/intake/queue.ts';
import { openLiveLoop } from '../../../daemon/live-loop.ts';
import { standingOf } from '../../../daemon/watch/standing.ts';
import { wearHouse, wearReadings } from './wear-house.ts';

export type WearDay = {
  seconds: number;
  readings: number;
  commits: number;
  writtenMb: number;
  /** The most watches of each kind that were open at once. */
  keeps: number;
  chills: number;
  events: Record<string, number>;
};

const [dir = '', seed = '1', seconds = '600', wire = 'serial'] = process.argv.slice(2);
process.stdout.write(
  `${JSON.stringify(await playWear(dir, { seed: Number(seed), seconds: Number(seconds) }))}\n`,
);

async function playWear(dataDir: string, o: { seed: number; seconds: number }): Promise<WearDay> {
  const startMs = Date.UTC(2026, 3, 18, 5);
  const time = { nowMs: startMs };
  const disk = openDisk({ dataDir, manners: mannersOfHouse(wearHouse) });
  const day: WearDay = {
    seconds: o.seconds,
    readings: 0,
    commits: 0,
    writtenMb: 0,
    keeps: 0,
    chills: 0,
    events: {},
  };
  const loop = await openLiveLoop({
    writer: {
      snapshots: async () => disk.snapshots(),
      inputsAfter: async (inputSeq, limit) => disk.inputsAfter(inputSeq, limit),
      appendOutcome: async (outcome) => disk.appendOutcome(outcome),
    },
    rules: rulesOfHouse(wearHouse),
    nowMs: () => time.nowMs,
    onRecorded: (events) => {
      for (const { kind } of events) day.events[kind] = (day.events[kind] ?? 0) + 1;
    },
    onTrouble: (error) => {
      if (error !== null) throw error;
    },
  });
  const clock = { steadyMs: () => time.nowMs - startMs, offsetMs: () => startMs };
  const era = disk.openEra({ offsetMs: startMs, known: true, startedMs: startMs });
  const queue = openQueue();
  const counts = openCounts();
  const arrivals = openArrivals({ queue, clock, standing: () => standingOf(loop.lanes(), time.nowMs) });
  const canResend = wire === 'qos1';
  let dueMs = Number.POSITIVE_INFINITY;

  async function commit(): Promise<void> {
    dueMs = Number.POSITIVE_INFINITY;
    const group = queue.take(commitMax);
    const items = group.map((each) => itemOf(each, { offsetMs: startMs, era, simulated: false }));
    const inputs = settleGroup(group, disk.commitReadings(items), { counts, items });
    day.commits += 1;
    day.readings += inputs.length;
    await loop.take(inputs);
    while (disk.tend());
  }

  const before = writtenBytes();
  for (const { probe, receivedMs, tempC } of wearReadings(o.seed, startMs, o.seconds)) {
    if (dueMs <= receivedMs) {
      time.nowMs = dueMs;
      await commit();
    }
    time.nowMs = receivedMs;
    const reading = { probe, tempC, atMs: null, undated: false };
    const offer = { source: canResend ? 'broker' : probe, readings: [reading], refusals: [], canResend };
    const spanMs = gatherSpanMs(arrivals.see(offer, [reading]), arrivals.standing);
    const settle = () => arrivals.answered(offer.source);
    queue.push({
      reading,
      steadyMs: clock.steadyMs(),
      offer: { left: 1, canResend, settle, fail: () => {} },
    });
    dueMs = Math.min(dueMs, receivedMs + spanMs);
    if (receivedMs % 60_000 < 200) look();
  }
  await commit();
  await loop.close();
  disk.close();
  day.writtenMb = (writtenBytes() - before) / 1e6;
  return day;

  function look(): void {
    const kinds = loop.watches().map(({ kind }) => kind);
    day.keeps = Math.max(day.keeps, kinds.filter((kind) => kind === 'keep').length);
    day.chills = Math.max(day.chills, kinds.filter((kind) => kind === 'chill').length);
  }
}

/** What this process has handed to the system to write, bytes. */
function writtenBytes(): number {
  const found = /^wchar: (\d+)$/m.exec(readFileSync('/proc/self/io', 'utf8'));
  if (found === null) throw new Error('/proc/self/io must tell what was written');
  return Number(found[1]);
}
