/** A group of readings in one commit: to the writer's words, and from its verdicts back to inputs. */
import type { WireReading } from '../../probes/source.ts';
import { type Input, type Reading, readingFlags } from '../../shared/contract/input.ts';
import type { Counts } from './counts.ts';
import type { IntakeItem, Verdict } from './intake-writer.ts';
import type { OpenOffer, Waiting } from './queue.ts';

/** The daemon's time as a group is committed. */
export type GroupTime = { offsetMs: number; era: number };

/** What a waiting reading is to the writer: stamped by its source, or by receipt in an era. */
export function itemOf(
  { reading, steadyMs }: Waiting,
  { offsetMs, era, simulated }: GroupTime & { simulated: boolean },
): IntakeItem {
  const { probe, tempC, atMs, ageMs = 0 } = reading;
  const receivedMs = steadyMs + offsetMs;
  const stamp = atMs === null ? { era, steadyMs: steadyMs - ageMs } : { atMs };
  return { probe, tempC, flags: flagsOf(reading, simulated), receivedMs, stamp };
}

/** An item as the watching would see it, were it committed. */
export function seenAs(item: IntakeItem, { offsetMs }: GroupTime): Reading & { receivedMs: number } {
  const { probe, tempC, flags, receivedMs, stamp } = item;
  const atMs = 'atMs' in stamp ? stamp.atMs : stamp.steadyMs + offsetMs;
  return { probe, atMs, tempC, flags, receivedMs };
}

/** Counts each verdict, settles the offers that have no reading left, and returns what was stored as inputs. */
export function settleGroup(
  group: readonly Waiting[],
  verdicts: readonly Verdict[],
  { counts, items }: { counts: Counts; items: readonly IntakeItem[] },
): Input[] {
  const inputs: Input[] = [];
  for (const [index, { reading, offer }] of group.entries()) {
    const verdict = verdicts[index] as Verdict;
    const { receivedMs } = items[index] as IntakeItem;
    count(counts, reading, verdict);
    if (verdict.is === 'stored') {
      const { probe, tempC } = reading;
      const { inputSeq, atMs, flags } = verdict;
      inputs.push({ inputSeq, receivedMs, kind: 'reading', reading: { probe, atMs, tempC, flags } });
    }
    leave(offer);
  }
  return inputs;
}

function flagsOf(reading: WireReading, simulated: boolean): number {
  const receipt = reading.atMs === null ? readingFlags.receipt : 0;
  const undated = reading.undated ? readingFlags.undated : 0;
  return receipt | undated | (simulated ? readingFlags.simulated : 0);
}

function count(counts: Counts, { probe }: WireReading, verdict: Verdict): void {
  switch (verdict.is) {
    case 'stored':
      counts.add(probe, 'taken');
      if ((verdict.flags & readingFlags.late) !== 0) counts.add(probe, 'late');
      if ((verdict.flags & readingFlags.undated) !== 0) counts.add(probe, 'undated');
      return;
    case 'repeat':
      counts.add(probe, 'repeats');
      return;
    case 'conflict':
      counts.add(probe, 'conflicts');
      return;
    case 'refused':
      counts.add(probe, 'refused');
      return;
    default:
      verdict satisfies never;
  }
}

function leave(offer: OpenOffer): void {
  offer.left -= 1;
  if (offer.left === 0) offer.settle();
}
