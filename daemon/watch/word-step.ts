/** What a person's word does to the lane it is about. */
import type { Happening } from '../../shared/contract/event.ts';
import type { Input } from '../../shared/contract/input.ts';
import type { Word } from '../../shared/contract/word.ts';
import { beginChill, countFromMilking, endChill, moveChill } from './chill-turns.ts';
import { beginHeat, endHeat } from './heat-turns.ts';
import { beginHold, endHold } from './hold-turns.ts';
import { beginKeep, endKeep } from './keep-turns.ts';
import type { Lane } from './lane.ts';
import { takeRescue } from './rescue-turns.ts';
import type { WatchRules } from './rules.ts';

export type WordInput = Extract<Input, { kind: 'word' }>;

/** The probe that a word is about; null where it names a watch that no lane has. */
export function probeOf(word: Word, lanes: Iterable<Lane>): string | null {
  if (word.kind === 'notice-seen' || word.kind === 'notice-snoozed') return null;
  if (word.kind === 'prior-forget') return null;
  if (word.kind !== 'watch-end') return word.probe;
  for (const lane of lanes) {
    const open = [lane.chill, lane.keep, lane.heat, lane.hold];
    if (open.some((watch) => watch?.id === word.watch)) return lane.probe;
  }
  return null;
}

/** Takes over the lane and does what the word says; a word that changes nothing makes no event. */
export function sayLane(lane: Lane, input: WordInput, rules: WatchRules): Happening[] {
  const { word, receivedMs } = input;
  switch (word.kind) {
    case 'chill-begin': {
      const { limitC, spanMs, volumeL, place, sinceMs = receivedMs } = word;
      const ended = endChill(lane, { atMs: receivedMs, reason: 'word' });
      lane.recent = lane.recent.filter(([atMs]) => atMs >= sinceMs);
      const begin = {
        sinceMs,
        origin: 'word',
        input,
        rules,
        limitC,
        spanMs,
        volumeL,
        place,
      } as const;
      return [...ended, ...beginChill(lane, begin)];
    }
    case 'keep-begin': {
      const { lowC, highC } = word;
      const window =
        lowC === undefined && highC === undefined ? undefined : { lowC: lowC ?? null, highC: highC ?? null };
      const ended = endKeep(lane, { atMs: receivedMs, reason: 'word' });
      lane.recent = lane.recent.filter(([atMs]) => atMs >= receivedMs);
      return [...ended, ...beginKeep(lane, { sinceMs: receivedMs, input, rules, window })];
    }
    case 'heat-begin':
      return [
        ...endChill(lane, { atMs: receivedMs, reason: 'word' }),
        ...endKeep(lane, { atMs: receivedMs, reason: 'word' }),
        ...endHeat(lane, { atMs: receivedMs, reason: 'word' }),
        ...endHold(lane, { atMs: receivedMs, reason: 'word' }),
        ...beginHeat(lane, { input, rules, asked: word, volumeL: word.volumeL }),
      ];
    case 'hold-begin':
      return [
        ...endHold(lane, { atMs: receivedMs, reason: 'word' }),
        ...beginHold(lane, {
          input,
          rules,
          asked: word.hold,
          sinceMs: receivedMs,
          heat: lane.heat ?? undefined,
        }),
      ];
    case 'milking-ended':
      return countFromMilking(lane, { originMs: word.atMs, beganMs: word.beganMs ?? null }, receivedMs);
    case 'rescue-done':
      return takeRescue(lane, word, { input, rules });
    case 'moved':
      return moveChill(lane, { place: word.place, taken: [] }, { input, rules });
    case 'vessel-told':
      if (lane.chill !== null) {
        lane.chill.told.volumeL = word.volumeL ?? lane.chill.told.volumeL;
        lane.chill.told.material = word.material ?? lane.chill.told.material;
        lane.chill.forecastDueMs = receivedMs;
      }
      return [];
    case 'watch-end':
      if (lane.heat?.id === word.watch) return endHeat(lane, { atMs: receivedMs, reason: 'word' });
      if (lane.hold?.id === word.watch) return endHold(lane, { atMs: receivedMs, reason: 'word' });
      if (lane.keep?.id === word.watch) return endKeep(lane, { atMs: receivedMs, reason: 'word' });
      return endChill(lane, { atMs: receivedMs, reason: 'word' });
    case 'prior-forget':
    case 'notice-seen':
    case 'notice-snoozed':
      // What the house is to forget is no one lane's; what a person has seen changes whom the house tells, not what it watches.
      return [];
    default:
      return word satisfies never;
  }
}
