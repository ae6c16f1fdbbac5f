/** What a way out that was taken does to a chill: its milk cools otherwise, so what it did before is forgotten. */
import type { Happening } from '../../shared/contract/event.ts';
import type { PlaceKind } from '../../shared/contract/ids.ts';
import type { Input } from '../../shared/contract/input.ts';
import type { Word } from '../../shared/contract/word.ts';
import { rescuePlace } from '../../shared/dairy/rescue-place.ts';
import { openChillTrace } from '../forecast/chill-trace.ts';
import { openWarning } from '../forecast/warning.ts';
import type { Chill, Taken } from './chill.ts';
import { cutLesson } from './chill-lesson.ts';
import { moveChill } from './chill-turns.ts';
import type { Lane } from './lane.ts';
import { openMilkEnd } from './milk-end.ts';
import type { WatchRules } from './rules.ts';
import { sayOf } from './saying.ts';

type RescueDone = Extract<Word, { kind: 'rescue-done' }>;

/**
 * Takes over the lane and notes that a way out was taken. Into a place that the house has, the milk moves: a new
 * watch with the old window. Else the watch goes on with a new curve. Nothing where no chill is open.
 */
export function takeRescue(
  lane: Lane,
  word: RescueDone,
  { input, rules }: { input: Input; rules: WatchRules },
): Happening[] {
  const { chill } = lane;
  if (chill === null) return [];
  const atMs = input.receivedMs;
  const { rescue: kind } = word;
  const said = chill.rescues.find((rescue) => rescue.kind === kind) ?? null;
  const vessels = kind === 'split' ? (word.vessels ?? said?.vessels ?? null) : null;
  const events = [
    sayOf(chill, {
      kind: 'rescue-taken',
      atMs,
      body: {
        watch: chill.id,
        rescue: kind,
        chance: said?.chance ?? null,
        crossing: said?.crossing ?? null,
        lastUsefulAtMs: said?.lastUsefulAtMs ?? null,
        vessels,
      },
    }),
  ];
  const taken = [...chill.taken, { kind, atMs }];
  const placeKind = rescuePlace(kind);
  const place = placeKind === null ? null : (word.place ?? placeOfKind(rules, placeKind));
  if (place !== null && lane.sitting?.place !== place) {
    return [...events, ...moveChill(lane, { place, taken }, { input, rules })];
  }
  const lesson = cutLesson(chill, atMs);
  if (lesson !== null) lane.lesson = lesson;
  beginRegime(chill, { taken, placeKind, vessels });
  return events;
}

/** The first place of a kind that the house names; null where it names none. */
function placeOfKind(rules: WatchRules, kind: PlaceKind): string | null {
  const found = Object.entries(rules.places).find(([, place]) => place.kind === kind);
  return found?.[0] ?? null;
}

/** The same watch with a new curve: nothing of how it cooled before, nor of what that led to, is kept. */
function beginRegime(
  chill: Chill,
  now: { taken: Taken[]; placeKind: PlaceKind | null; vessels: number | null },
): void {
  const { placeKind, taken, vessels } = now;
  const { told } = chill;
  const volumeL = vessels === null || told.volumeL === null ? told.volumeL : told.volumeL / vessels;
  chill.taken = taken;
  // Stirred, in front of a fan or in a bath it is no chill of its place any more.
  chill.stands = null;
  chill.told =
    placeKind === null || placeKind === told.place
      ? { ...told, volumeL }
      : { ...told, volumeL, place: placeKind, aroundC: null };
  chill.trace = openChillTrace(`${chill.id}/${taken.length}`);
  chill.warning = openWarning();
  chill.verdict = 'unsure';
  chill.end = openMilkEnd();
  chill.outlook = null;
  chill.rescues = [];
  chill.forecastDueMs = null;
  chill.forecastDataMs = null;
}
