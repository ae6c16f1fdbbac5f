/** Whether a probe that does not hang in its milk is found, and how often one that does is doubted. */
import { drive } from '../../../daemon/watch/drive.ts';
import { openWatching } from '../../../daemon/watch/step.ts';
import type { DoubtWhy, Happening } from '../../../shared/contract/event.ts';
import { potRules } from './coast-pot.ts';
import { readPot } from './follow-pot.ts';
import { drawPot, type PotPopulation, type PotTrouble } from './population.ts';

/** What was said of the probe of one pot; `spanMs` from the beginning of the trouble on. */
export type TrustStory = { trouble: PotTrouble; why: DoubtWhy | null; spanMs: number | null };

/** A pot is left out where its trouble lasts shorter than this: there is too little to tell it by. */
const troubleMs = { none: 0, touching: 6 * 60_000, lifted: 4 * 60_000 } as const;
/** Air that is this near to the milk, °C, is felt as milk. */
const apartC = 6;

/** Watches a pot up to its target as it would be live; null where its trouble is too short, or makes no difference. */
export function trustPot(of: {
  population: PotPopulation;
  seed: number;
  place: number;
  trouble: PotTrouble;
}): TrustStory | null {
  const { trouble } = of;
  const world = drawPot(of);
  const { readings, crossedMs } = readPot(world);
  const endMs = crossedMs ?? readings.at(-1)?.atMs ?? 0;
  const fromMs = (world.scene.liftedAtS ?? 0) * 1000;
  if (endMs - fromMs < troubleMs[trouble]) return null;
  const inMilk = readings.findLast(({ atMs }) => atMs <= fromMs)?.tempC ?? 0;
  const inAir = readings.findLast(({ atMs }) => atMs <= fromMs + troubleMs.lifted)?.tempC ?? 0;
  if (trouble === 'lifted' && inMilk - inAir < apartC) return null;
  const watching = openWatching();
  const rules = potRules(world);
  const word = { kind: 'heat-begin', probe: 'pot', limitC: world.scene.targetC } as const;
  const events: Happening[] = [];
  events.push(
    ...drive(
      watching,
      { inputSeq: 1, receivedMs: 0, kind: 'word', wordId: 'begin-pot', by: 'house', word },
      rules,
    ),
  );
  let inputSeq = 1;
  for (const { atMs, tempC } of readings) {
    if (atMs > endMs) break;
    const reading = { probe: 'pot', atMs, tempC, flags: 0 };
    events.push(
      ...drive(watching, { inputSeq: ++inputSeq, receivedMs: atMs, kind: 'reading', reading }, rules),
    );
  }
  const found = events.find((event) => event.kind === 'probe-doubted');
  if (found?.kind !== 'probe-doubted') return { trouble, why: null, spanMs: null };
  return { trouble, why: found.body.why ?? null, spanMs: found.atMs - fromMs };
}

/** A line of the table for the pots of one trouble. */
export function trustLine(trouble: PotTrouble, stories: readonly TrustStory[]): string {
  const doubted = stories.filter(({ why }) => why !== null);
  const right = doubted.filter(
    ({ why }) => why === (trouble === 'touching' ? 'touching-bottom' : 'out-of-milk'),
  );
  const spansMin = doubted.map(({ spanMs }) => (spanMs ?? 0) / 60_000).sort((a, b) => a - b);
  const middleMin = spansMin[spansMin.length >> 1]?.toFixed(1) ?? '-';
  if (trouble === 'none') return `probe in its milk: ${doubted.length} of ${stories.length} pots doubted`;
  const named = trouble === 'touching' ? 'touches the bottom' : 'out of the milk';
  return `probe ${named}: ${doubted.length} of ${stories.length} pots doubted, ${right.length} for that reason, after ${middleMin} min in the middle`;
}
