import type { Lesson } from '../../shared/contract/prior.ts';
import type { Chill } from './chill.ts';
import type { Heat } from './heat.ts';
import type { Hold } from './hold.ts';
import type { Learnt } from './house-learning.ts';
import type { Keep } from './keep.ts';
import { type KeepRest, openKeepRest } from './keep-rest.ts';
import { type MilkStart, openMilkStart } from './milk-start.ts';
import { openTrust, type Trust } from './probe-trust.ts';
import { openRhythm, type Rhythm } from './rhythm.ts';

/**
 * The watching of one probe: its rhythm, whether it feels milk, its open sitting and watches. Lanes know
 * nothing of each other, so that one that fails leaves the others alone. Plain JSON.
 */
export type Lane = {
  probe: string;
  /** The last input that this lane has taken; on resume earlier ones are passed over. */
  inputSeq: number;
  rhythm: Rhythm;
  /** Whether the probe's readings are believed. */
  trust: Trust;
  start: MilkStart;
  /** The last minutes as [instant, °C], so that a watch begins with what was felt before it was noticed. */
  recent: [number, number][];
  latest: { atMs: number; tempC: number } | null;
  lastReceivedMs: number | null;
  /** True where the last readings were stamped by receipt: their instants go by the daemon's clock. */
  byReceipt: boolean;
  /** When a person said that milking ended; used by the next chill that begins within two hours. */
  milkingEndedMs: number | null;
  /** When a person said that milking began; goes with `milkingEndedMs`. */
  milkingBeganMs: number | null;
  sitting: Sitting | null;
  chill: Chill | null;
  /** What the chill that just ended taught, until the house has taken it. */
  lesson?: Lesson;
  /** What the house has learned, where this lane's chill taught it last. */
  learnt?: Learnt;
  /** Whether the probe is at rest in a cold place; then a keep begins. */
  rest: KeepRest;
  keep: Keep | null;
  heat: Heat | null;
  hold: Hold | null;
  /** Since when the probe of an open watch is silent; null while it is heard. */
  silentSinceMs: number | null;
  /** Since when it is heard again, and how long it was silent, until that was told; a buffer is waited for. */
  heardAgain: { atMs: number; silentMs: number } | null;
  /** Whether the clock was known at the newest start or turn; absent where nobody told. */
  clockKnown?: boolean;
  /**
   * Since which start of the daemon the clock is not known, though it was before: instants from then on move when it is
   * learned, those before stay. Absent where it is known, or never was.
   */
  unknownFromMs?: number;
  /** When it was last told that an input of this lane was set aside; absent where none was. */
  doubtedMs?: number;
};

/** What stands where, as far as the house was told. */
export type Sitting = { id: string; place: string | null; sinceMs: number };

/** Changes whenever a snapshot of another version cannot be read; the lane is then rebuilt from readings. */
export const laneVersion = 11;

export function openLane(probe: string): Lane {
  return {
    probe,
    inputSeq: 0,
    rhythm: openRhythm(),
    trust: openTrust(),
    start: openMilkStart(),
    recent: [],
    latest: null,
    lastReceivedMs: null,
    byReceipt: false,
    milkingEndedMs: null,
    milkingBeganMs: null,
    sitting: null,
    chill: null,
    rest: openKeepRest(),
    keep: null,
    heat: null,
    hold: null,
    silentSinceMs: null,
    heardAgain: null,
  };
}

/** How far back the recent readings reach. */
const recentSpanMs = 8 * 60_000;
/** Recent readings are kept at this spacing. */
const recentEveryMs = 4_000;
/** Recent readings kept; the oldest go first. */
export const recentMax = 160;

/** Remembers a reading among the recent ones. */
export function remember(lane: Lane, atMs: number, tempC: number): void {
  const { recent } = lane;
  const last = recent[recent.length - 1];
  if (last !== undefined && atMs - last[0] < recentEveryMs) return;
  recent.push([atMs, tempC]);
  if (recent.length > recentMax || (recent[0] as [number, number])[0] < atMs - recentSpanMs) recent.shift();
}
