/**
 * What is watched while the disk refuses: readings that could not be committed go through the watching in
 * memory, on a copy, so that people are still warned. Nothing of it is kept; when the disk takes writes again
 * the copy is let go, and what the sources send again is watched in its own right. Wiring.
 */
import { type Happening, isNotice } from '../shared/contract/event.ts';
import type { Input, Reading } from '../shared/contract/input.ts';
import { drive } from './watch/drive.ts';
import type { Lane } from './watch/lane.ts';
import type { WatchRules } from './watch/rules.ts';
import { openWatching, type Watching } from './watch/step.ts';

export type UnrecordedOptions = {
  /** The lanes as the last committed input left them. */
  lanes: () => Iterable<Lane>;
  inputSeq: () => number;
  rules: WatchRules;
  /** Tells people of notices that are in no record. */
  tell: (notices: Happening[]) => void;
};

export type Unrecorded = {
  /** Watches readings that the disk refused; one that was seen before is passed over. */
  see(readings: readonly (Reading & { receivedMs: number })[]): void;
  /** Tells of events that the disk refused, and that are tried again. */
  hear(happenings: readonly Happening[]): void;
  /** The disk takes writes again. */
  over(): void;
};

/** Events that are remembered as told, so that none is told at each try of the disk; the oldest go first. */
const toldMax = 10_000;

/** Opens with nothing copied. */
export function openUnrecorded(options: UnrecordedOptions): Unrecorded {
  let copy: Watching | null = null;
  let inputSeq = 0;
  const newestMs = new Map<string, number>();
  const told = new Set<string>();

  function tellNew(happenings: readonly Happening[]): void {
    const notices = happenings.filter((event) => isNotice(event) && !told.has(event.id));
    for (const { id } of notices) told.add(id);
    for (const id of told) {
      if (told.size <= toldMax) break;
      told.delete(id);
    }
    if (notices.length > 0) options.tell(notices);
  }

  function begin(): Watching {
    inputSeq = options.inputSeq();
    newestMs.clear();
    // JSON, as a snapshot would be: what is done to the copy must not reach the lanes.
    return openWatching(JSON.parse(JSON.stringify([...options.lanes()])) as Lane[]);
  }

  return {
    see: (readings) => {
      copy ??= begin();
      for (const { receivedMs, ...reading } of readings) {
        const seenMs = newestMs.get(reading.probe) ?? copy.lanes.get(reading.probe)?.latest?.atMs;
        if (seenMs !== undefined && reading.atMs <= seenMs) continue;
        newestMs.set(reading.probe, reading.atMs);
        inputSeq += 1;
        const input: Input = { inputSeq, receivedMs, kind: 'reading', reading };
        tellNew(drive(copy, input, options.rules));
      }
    },
    hear: tellNew,
    over: () => {
      copy = null;
    },
  };
}
