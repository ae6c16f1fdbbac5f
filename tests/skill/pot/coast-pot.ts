/** What comes of "heat off now": a pot is watched as it would be live, and its burner goes off at the word. */
import { drive } from '../../../daemon/watch/drive.ts';
import type { WatchRules } from '../../../daemon/watch/rules.ts';
import { openWatching } from '../../../daemon/watch/step.ts';
import type { Happening } from '../../../shared/contract/event.ts';
import type { Input } from '../../../shared/contract/input.ts';
import { type PotWorld, potSpanMs } from './pot.ts';

export type CoastStory = {
  /** When it was said; null where it never was. */
  saidMs: number | null;
  /** The highest the milk got, and how far that is over the target, °C. */
  peakC: number;
  missedC: number;
  touching: boolean;
  /** How fast it climbed when it was said, °C a minute. */
  paceCPerMin: number;
};

/** How long after the word the peak is looked for. */
const peakMs = 20 * 60_000;

/** What a house would be told of the pot of a scene. */
export function potRules({ scene, roomC }: PotWorld): WatchRules {
  return {
    chill: { limitC: 4.44, spanMs: 3_600_000, guarded: true },
    places: { stove: { kind: 'pot', aroundC: scene.population === 1 ? Math.round(roomC) : null } },
    probes: {
      pot: { place: 'stove', volumeL: scene.volumeL, material: null, uncertaintyC: 0, measures: null },
    },
    heightM: scene.heightM,
    startsByItself: true,
  };
}

/** Watches a pot with its target and turns its burner off when told, `handMs` later. */
export function coastPot(world: PotWorld, handMs = 5_000): CoastStory {
  const { scene } = world;
  const rules = potRules(world);
  const watching = openWatching();
  const events: Happening[] = [];
  let inputSeq = 0;
  const feed = (input: Input) => events.push(...drive(watching, input, rules));
  const word = { kind: 'heat-begin', probe: 'pot', limitC: scene.targetC } as const;
  feed({ inputSeq: ++inputSeq, receivedMs: 0, kind: 'word', wordId: 'begin-pot', by: 'house', word });
  let saidMs: number | null = null;
  let peakC = -99;
  let beforeC = 0;
  let paceCPerMin = 0;
  for (let atMs = 0; atMs < potSpanMs; ) {
    const off = saidMs !== null && atMs >= saidMs + handMs;
    const next = world.next(off);
    if (saidMs === null)
      paceCPerMin += 0.1 * (((next.milkC - beforeC) / (next.atMs - atMs)) * 60_000 - paceCPerMin);
    beforeC = next.milkC;
    atMs = next.atMs;
    peakC = Math.max(peakC, next.milkC);
    if (saidMs !== null && atMs > saidMs + peakMs) break;
    const reading = { probe: 'pot', atMs, tempC: next.tempC, flags: 0 };
    feed({ inputSeq: ++inputSeq, receivedMs: atMs, kind: 'reading', reading });
    saidMs ??= events.find(({ kind }) => kind === 'heat-off-now')?.atMs ?? null;
  }
  return { saidMs, peakC, missedC: peakC - scene.targetC, touching: scene.touching, paceCPerMin };
}
