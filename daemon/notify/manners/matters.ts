/** Matters from their opening to their end: who is told when, and what keeps the house quiet. */
import type { Weight } from '../../../shared/contract/event.ts';
import type { LetterWhy } from '../../../shared/contract/notify.ts';
import { isQuiet, nextTimeOfDayMs } from './hours.ts';
import { post, type Turn } from './post.ts';
import { type Receiver, rankOf } from './rules.ts';
import type { Matter } from './state.ts';
import type { NoticeEvent } from './topics.ts';

/** One that opens again so soon after it was over is told only once it has stayed open for so long. */
export const calmMs = 15 * 60_000;

/** News of an open matter that weighs no more than what was told comes at most so often. */
export const updateGapMs = 10 * 60_000;

/** An alarm that nobody has seen is said again after these spans, minutes; then no more. */
const againAfterMin = [5, 10, 20, 40, 60, 60, 60, 60] as const;

/** Matters that are remembered; beyond, those that are over and then the oldest are forgotten. */
export const mattersMax = 2_000;

/** An event about a matter, numbered by the record. */
export type Numbered<E extends NoticeEvent = NoticeEvent> = E & { recordSeq: number };

/** What an event is to its matter. */
export type News = { event: Numbered; weight: Weight; remindAtMs: number | null; why?: LetterWhy | null };

/** Opens a matter, or takes news of the open one; `why: null` opens it without a word. */
export function openMatter(turn: Turn, id: string, news: News): void {
  const known = turn.state.matters[id];
  if (known !== undefined && known.overMs === null) updateMatter(turn, known, news);
  else beginMatter(turn, id, news);
}

function beginMatter(turn: Turn, id: string, news: News): void {
  const { nowMs, state } = turn;
  const before = state.matters[id];
  const matter: Matter = {
    ...newsOf(news),
    id,
    openedMs: nowMs,
    overMs: null,
    seen: null,
    snoozedToMs: null,
    lastTold: before?.lastTold ?? null,
    told: {},
    due: {},
  };
  state.matters[id] = matter;
  if (before === undefined) turn.matters += 1;
  if (turn.matters > mattersMax) forgetSome(turn);
  if (news.why === null) return;
  const overMs = before?.overMs ?? null;
  const calmTo = overMs !== null && flaps(matter, overMs, nowMs) ? overMs + calmMs : null;
  for (const receiver of turn.rules.receivers) {
    if (rankOf(matter.weight) < rankOf(receiver.from)) continue;
    const later = receiver.afterMs > 0;
    if (later && rankOf(matter.weight) === 0) continue;
    if (calmTo !== null || later) {
      matter.due[receiver.id] = {
        atMs: (calmTo ?? nowMs) + receiver.afterMs,
        why: later ? 'unseen' : 'calm',
      };
    } else tellOne(turn, matter, receiver, { why: news.why ?? 'first', weight: matter.weight });
  }
}

/** An alarm is never held back; anything else is where it was told of a moment before and weighs no more. */
function flaps(matter: Matter, overMs: number, nowMs: number): boolean {
  const { lastTold, weight } = matter;
  if (weight === 'alarm' || lastTold === null || nowMs - overMs >= calmMs) return false;
  return rankOf(weight) <= lastTold.rank;
}

function newsOf({ event, weight, remindAtMs }: News) {
  return {
    watch: event.body.watch,
    probe: event.about.probe?.[0] ?? null,
    code: event.kind,
    eventId: event.id,
    recordSeq: event.recordSeq,
    weight,
    remindAtMs,
  };
}

/** Takes news of an open matter: told at once where it weighs more, else once there is room for it. */
export function updateMatter(turn: Turn, matter: Matter, news: News): void {
  const rises = rankOf(news.weight) > rankOf(matter.weight);
  const weight = rises ? news.weight : matter.weight;
  Object.assign(matter, { ...newsOf(news), weight });
  if (news.why === null) return;
  if (rises) {
    matter.seen = null;
    matter.snoozedToMs = null;
    // It matters more now: who was to hear of it later, or of less, hears of it as if it began.
    for (const receiver of turn.rules.receivers) {
      if (rankOf(weight) < rankOf(receiver.from)) continue;
      if (receiver.afterMs > 0 && matter.told[receiver.id] === undefined) {
        matter.due[receiver.id] ??= { atMs: turn.nowMs + receiver.afterMs, why: 'unseen' };
        continue;
      }
      const why = matter.told[receiver.id] === undefined ? 'first' : 'update';
      tellOne(turn, matter, receiver, { why, weight });
    }
    return;
  }
  for (const receiver of turn.rules.receivers) tellLater(turn, matter, receiver);
}

function tellLater(turn: Turn, matter: Matter, receiver: Receiver): void {
  const told = matter.told[receiver.id];
  if (told === undefined || matter.snoozedToMs !== null) return;
  const roomMs = told.atMs + updateGapMs;
  if (roomMs <= turn.nowMs) tellOne(turn, matter, receiver, { why: 'update', weight: 'tell' });
  else matter.due[receiver.id] = sooner(matter.due[receiver.id], { atMs: roomMs, why: 'update' });
}

function sooner(a: Matter['due'][string] | undefined, b: Matter['due'][string]): Matter['due'][string] {
  return a === undefined || b.atMs < a.atMs ? b : a;
}

/** A matter is over: told to those who were told of it. `quietly` tells nobody. */
export function closeMatter(turn: Turn, matter: Matter, news: News | null): void {
  if (matter.overMs !== null) return;
  matter.overMs = turn.nowMs;
  matter.due = {};
  matter.snoozedToMs = null;
  if (news === null) return;
  const { eventId, recordSeq, code } = newsOf(news);
  Object.assign(matter, { eventId, recordSeq, code, remindAtMs: null });
  for (const receiver of turn.rules.receivers) {
    if (matter.told[receiver.id] === undefined) continue;
    tellOne(turn, matter, receiver, { why: 'over', weight: 'tell' });
  }
}

/** A notice that opens nothing: said once. */
export function tellOnce(turn: Turn, id: string, { event, weight }: News): void {
  for (const receiver of turn.rules.receivers) {
    if (rankOf(weight) < rankOf(receiver.from) || receiver.afterMs > 0) continue;
    if (isHushed(turn, receiver, weight)) {
      // Nothing waits for it: the digest names it, or else it is kept for the end of the quiet.
      if (receiver.digestMin === null) keepForMorning(turn, receiver, { id, event, weight });
      continue;
    }
    const saying = { id: `${event.id}/first`, matter: id, weight, why: 'first' as const };
    post(turn, receiver, { ...saying, seqs: [event.recordSeq] });
  }
}

function keepForMorning(
  turn: Turn,
  receiver: Receiver,
  { id, event, weight }: { id: string; event: Numbered; weight: Weight },
): void {
  const known = turn.state.matters[id];
  if (known === undefined || known.overMs !== null) {
    beginMatter(turn, id, { event, weight, remindAtMs: null, why: null });
  }
  const matter = turn.state.matters[id] as Matter;
  matter.overMs = turn.nowMs;
  matter.due[receiver.id] = { atMs: endOfQuietMs(turn, receiver), why: 'held' };
}

/** Tells one receiver of a matter, or keeps it for the end of quiet hours. */
export function tellOne(
  turn: Turn,
  matter: Matter,
  receiver: Receiver,
  { why, weight }: { why: LetterWhy; weight: Weight },
): void {
  const { nowMs } = turn;
  delete matter.due[receiver.id];
  if (isHushed(turn, receiver, weight)) {
    const morning = rankOf(matter.weight) > 0 || receiver.digestMin === null;
    if (morning) matter.due[receiver.id] = { atMs: endOfQuietMs(turn, receiver), why: 'held' };
    return;
  }
  const times = (matter.told[receiver.id]?.times ?? 0) + 1;
  const id = why === 'first' ? `${matter.eventId}/first` : `${matter.eventId}/${why}/${times}`;
  post(turn, receiver, { id, matter: matter.id, weight, why, seqs: [matter.recordSeq] });
  const rank = Math.max(rankOf(weight), matter.told[receiver.id]?.rank ?? 0);
  matter.told[receiver.id] = { atMs: nowMs, rank, times };
  matter.lastTold = { atMs: nowMs, rank: rankOf(matter.weight) };
  const againMin = againAfterMin[times - 1];
  const repeats = matter.weight === 'alarm' && matter.seen === null && matter.overMs === null;
  if (repeats && againMin !== undefined) {
    matter.due[receiver.id] = { atMs: nowMs + againMin * 60_000, why: 'again' };
  }
}

/** Does what has fallen due for one receiver. */
export function tellDue(turn: Turn, matter: Matter, receiver: Receiver): void {
  const due = matter.due[receiver.id];
  if (due === undefined || due.atMs > turn.nowMs) return;
  delete matter.due[receiver.id];
  if (due.why === 'reminder') endSnooze(turn, matter);
  if ((due.why === 'again' || due.why === 'unseen') && matter.seen !== null) return;
  const over = matter.overMs !== null;
  const weight = over || due.why === 'update' ? 'tell' : matter.weight;
  tellOne(turn, matter, receiver, { why: over && due.why !== 'held' ? 'over' : due.why, weight });
}

/** A snooze is over: it counts as unseen again, so that the next in line hears of it where nobody looks. */
function endSnooze(turn: Turn, matter: Matter): void {
  if (matter.snoozedToMs === null) return;
  matter.snoozedToMs = null;
  matter.seen = null;
  for (const receiver of turn.rules.receivers) {
    if (receiver.afterMs === 0 || rankOf(matter.weight) < Math.max(1, rankOf(receiver.from))) continue;
    matter.due[receiver.id] ??= { atMs: turn.nowMs + receiver.afterMs, why: 'unseen' };
  }
}

/** A person has seen it: nobody is told again of what stays as it is. */
export function seeMatter(turn: Turn, matter: Matter, by: string): void {
  if (matter.overMs !== null) return;
  matter.seen = { by, atMs: turn.nowMs };
  matter.due = {};
}

/** A person wants to be reminded: until then nothing is said of it, unless it comes to weigh more. */
export function snoozeMatter(
  turn: Turn,
  matter: Matter,
  { by, untilMs }: { by: string; untilMs: number },
): void {
  if (matter.overMs !== null || untilMs <= turn.nowMs) return;
  seeMatter(turn, matter, by);
  matter.snoozedToMs = untilMs;
  const told = turn.rules.receivers.filter(({ id }) => matter.told[id] !== undefined);
  const wanted = told.length > 0 ? told : turn.rules.receivers.filter(({ afterMs }) => afterMs === 0);
  for (const { id } of wanted) matter.due[id] = { atMs: untilMs, why: 'reminder' };
}

function isHushed({ nowMs }: Turn, { quiet, zone }: Receiver, weight: Weight): boolean {
  if (quiet === null || !isQuiet(nowMs, quiet, zone)) return false;
  return quiet.wake === null || rankOf(weight) < rankOf(quiet.wake);
}

function endOfQuietMs({ nowMs }: Turn, { quiet, zone }: Receiver): number {
  return quiet === null ? nowMs : nextTimeOfDayMs(nowMs, quiet.toMin, zone);
}

function forgetSome(turn: Turn): void {
  const { state } = turn;
  const all = Object.values(state.matters);
  const sorted = all.sort(
    (a, b) => (a.overMs ?? Infinity) - (b.overMs ?? Infinity) || a.openedMs - b.openedMs || 0,
  );
  // Several at a time, so that a flood does not sort them all for each of its events.
  for (const { id } of sorted.slice(0, mattersMax / 10)) delete state.matters[id];
  turn.matters = Object.keys(state.matters).length;
}
