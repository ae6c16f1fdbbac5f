/** Readings that tell their own number, with some that come late, and the judge of what a file holds of them. */
import { openHistory } from '../../daemon/history/history.ts';
import type { IntakeItem } from '../../daemon/history/intake-item.ts';
import { openHistoryRange } from '../../daemon/history/range.ts';
import {
  type HistoryVerifyProgress,
  type HistoryVerifyReport,
  historyVerifyStart,
  openHistoryVerify,
} from '../../daemon/history/verify.ts';
import { openDatabase } from '../../daemon/sqlite/database.ts';

const startMs = 20_000 * 86_400_000;
const probes = ['p0', 'p1'];
/** Each hundredth comes so many numbers late. */
const lateBy = 4_000;
const endMs = startMs + 100 * 86_400_000;

/** Readings in a commit of the proofs. */
export const perCommit = 100;

/** Makes the reading of a number: a wavering curve in steps of a sixteenth. */
export function numberedItem(number: number): IntakeItem {
  const place = number % perCommit === perCommit - 1 ? number - lateBy : number;
  const atMs = startMs + (place + lateBy) * 500;
  const waver = (Math.imul(number, 2_654_435_761) >>> 28) - 8;
  const tempC = (64 + Math.round(40 * Math.sin(number / 3_000)) + waver) / 16;
  return { probe: probes[number % 2] as string, tempC, flags: 0, receivedMs: atMs + 5, stamp: { atMs } };
}

/** What a file holds: how many numbers up to one are missing, doubled or wrong, and what its check finds. */
export type HeldReport = { kept: number; lost: number; doubled: number; wrong: number; damage: string[] };

/** Opens a file as the daemon does, checks it, and counts its readings; all numbers under `acknowledged` must be in it. */
export function judgeFile(path: string, acknowledged: number): HeldReport {
  const writing = openDatabase({ path, mode: 'write' });
  try {
    openHistory(writing);
    const { damage } = checkedFile(path);
    const held = heldIn(path);
    let [lost, doubled, wrong] = [0, 0, 0];
    for (let number = 0; number < acknowledged; number++) {
      const { probe, tempC, stamp } = numberedItem(number);
      const found = held.byKey.get(`${probe} ${'atMs' in stamp ? stamp.atMs : 0}`);
      if (found === undefined) lost += 1;
      else if (found !== tempC) wrong += 1;
    }
    doubled = held.kept - held.byKey.size;
    return { kept: held.kept, lost, doubled, wrong, damage: damage.map(({ found }) => found) };
  } finally {
    writing.close();
  }
}

/** Checks a file from a stage on. */
export function checkedFile(
  path: string,
  stage: HistoryVerifyProgress['stage'] = 'pages',
): HistoryVerifyReport {
  const reading = openDatabase({ path, mode: 'read' });
  try {
    const { historyVerifySlice } = openHistoryVerify(reading);
    let progress: HistoryVerifyProgress = { ...historyVerifyStart, stage };
    while (progress.stage !== 'done') progress = historyVerifySlice(progress);
    return progress;
  } finally {
    reading.close();
  }
}

/** Returns every reading of a file by probe and instant. */
export function heldIn(path: string): { kept: number; byKey: Map<string, number> } {
  const reading = openDatabase({ path, mode: 'read' });
  try {
    const { rawSlice } = openHistoryRange(reading);
    const byKey = new Map<string, number>();
    let kept = 0;
    for (const probe of probes) {
      for (let fromMs: number | null = startMs; fromMs !== null; ) {
        const slice = rawSlice({ probe, fromMs, toMs: endMs });
        kept += slice.readings.length;
        for (const { atMs, tempC } of slice.readings) byKey.set(`${probe} ${atMs}`, tempC);
        fromMs = slice.nextMs;
      }
    }
    return { kept, byKey };
  } finally {
    reading.close();
  }
}
