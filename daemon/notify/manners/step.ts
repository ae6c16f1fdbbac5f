/**
 * The manners of the house: given what happens, who is told and what time it is, which letters are to be
 * sent and when to look again. Pure: the same inputs give the same letters.
 */
import { isNotice, type RecordEvent } from '../../../shared/contract/event.ts';
import { letterEventsMax } from '../../../shared/contract/notify.ts';
import { nextTimeOfDayMs } from './hours.ts';
import {
  calmMs,
  closeMatter,
  type News,
  type Numbered,
  openMatter,
  seeMatter,
  snoozeMatter,
  tellDue,
  tellOnce,
  updateMatter,
} from './matters.ts';
import { burstsEndMs, endBursts, post, type Turn } from './post.ts';
import { type MannersRules, rankOf } from './rules.ts';
import { knownRun, noteMade, noteMiss, noteSitting, noteVessel, noteWatch } from './set-up.ts';
import type { Draft, Manners, Matter } from './state.ts';
import { remindAtMsOf, topicOf } from './topics.ts';

/** A letter that could not be brought by its way, and the ways on which it already is. */
export type Undelivered = { letter: Draft; onWays: readonly string[] };

export type MannersInput = { nowMs: number } /** Events that were kept together, in order. */ & (
  | { kind: 'events'; events: readonly RecordEvent[] }
  | { kind: 'undelivered'; undelivered: Undelivered }
  | { kind: 'tick' }
);

export type MannersStep = {
  state: Manners;
  letters: Draft[];
  /** When a tick is wanted; null where only an input can change anything. */
  wakeAtMs: number | null;
};

/** Takes over `state` and returns it one input further, with the letters that are now to be sent. */
export function stepManners(state: Manners, input: MannersInput, rules: MannersRules): MannersStep {
  const turn: Turn = {
    state,
    rules,
    nowMs: input.nowMs,
    drafts: [],
    matters: Object.keys(state.matters).length,
  };
  if (input.kind === 'events') for (const event of input.events) takeEvent(turn, event);
  if (input.kind === 'undelivered') takeUndelivered(turn, input.undelivered);
  fallDue(turn);
  return { state, letters: turn.drafts, wakeAtMs: wakeAtMs(state) };
}

function takeEvent(turn: Turn, event: RecordEvent): void {
  const { state } = turn;
  switch (event.kind) {
    case 'sitting-opened':
      noteSitting(state, event);
      break;
    case 'watch-opened':
      noteWatch(state, event);
      break;
    case 'watch-ended':
      delete state.watches[event.body.watch];
      for (const matter of mattersOf(state, event.body.watch)) closeMatter(turn, matter, null);
      break;
    case 'rescue-taken':
      forgetCourse(state, event.body.watch);
      break;
    case 'clock-stepped':
      shift(state, event.body.deltaMs);
      break;
    case 'word-said':
      takeWord(turn, event);
      break;
    default:
      if (isNotice(event)) takeNotice(turn, event);
  }
}

/**
 * Somebody acted: what was said of where that milk was going is done with, its reminder too, and how it ends tells
 * nothing of its old set-up. Should the way out fail, that is said like a first warning.
 */
function forgetCourse(state: Manners, watch: string): void {
  delete state.watches[watch];
  for (const topic of ['course', 'outer']) delete state.matters[`${watch}:${topic}`];
}

function takeWord(turn: Turn, { body, by }: Extract<RecordEvent, { kind: 'word-said' }>): void {
  const { word } = body;
  if (word.kind === 'vessel-told') noteVessel(turn.state, word);
  if (word.kind !== 'notice-seen' && word.kind !== 'notice-snoozed') return;
  const matter = turn.state.matters[word.matter];
  if (matter === undefined) return;
  if (word.kind === 'notice-seen') seeMatter(turn, matter, by.id);
  else snoozeMatter(turn, matter, { by: by.id, untilMs: word.untilMs });
}

function takeNotice(turn: Turn, event: Numbered): void {
  const { state } = turn;
  addToDigests(turn, event.recordSeq);
  noteWays(state, event);
  if (event.kind === 'chill-missed') noteMiss(state, event.body.watch);
  if (event.kind === 'chill-made') noteMade(state, event.body.watch);
  const { matter: id, does } = topicOf(event);
  const news = newsOf(turn, event);
  const known = state.matters[id];
  const open = known !== undefined && known.overMs === null ? known : null;
  if (does === 'opens') openMatter(turn, id, news);
  else if (open !== null && does === 'updates') updateMatter(turn, open, news);
  else if (open !== null && does === 'closes') closeMatter(turn, open, news);
  else tellOnce(turn, id, news);
}

/** A jar on its way to miss is warned of; where its set-up is known for it, there is one standing word. */
function newsOf({ state, rules }: Turn, event: Numbered): News {
  const news = { event, weight: event.body.weight, remindAtMs: remindAtMsOf(event) };
  const run = event.kind === 'chill-will-miss' ? knownRun(state, event, rules.region) : null;
  if (run === null) return news;
  const why = run.standing ? null : ('standing' as const);
  run.standing = true;
  return { ...news, weight: 'tell', why };
}

function noteWays(state: Manners, event: Numbered): void {
  if (event.kind === 'way-failed' && !state.failing.includes(event.body.way))
    state.failing.push(event.body.way);
  if (event.kind === 'way-works') state.failing = state.failing.filter((way) => way !== event.body.way);
}

/** Writes the letter again for the receiver's next way; where there is none, the next in line hears at once. */
function takeUndelivered(turn: Turn, { letter, onWays }: Undelivered): void {
  const receiver = turn.rules.receivers.find(({ id }) => id === letter.receiver);
  if (receiver === undefined) return;
  const left = receiver.ways.filter((way) => !onWays.includes(way));
  const way = left.find((each) => !turn.state.failing.includes(each)) ?? left[0];
  if (way !== undefined) {
    turn.drafts.push({ ...letter, way, madeAtMs: turn.nowMs });
    return;
  }
  const matter = letter.matter === null ? undefined : turn.state.matters[letter.matter];
  if (matter === undefined) return;
  for (const [id, due] of Object.entries(matter.due)) {
    if (due.why === 'unseen') matter.due[id] = { ...due, atMs: Math.min(due.atMs, turn.nowMs) };
  }
}

function addToDigests({ state, rules, nowMs }: Turn, recordSeq: number): void {
  for (const { id, digestMin, zone } of rules.receivers) {
    if (digestMin === null) continue;
    state.digests[id] ??= { dueMs: nextTimeOfDayMs(nowMs, digestMin, zone), seqs: [], more: 0 };
    const digest = state.digests[id];
    digest.seqs.push(recordSeq);
    if (digest.seqs.length <= letterEventsMax) continue;
    digest.seqs.shift();
    digest.more += 1;
  }
}

function fallDue(turn: Turn): void {
  const { state, rules, nowMs } = turn;
  for (const matter of Object.values(state.matters)) {
    for (const receiver of rules.receivers) tellDue(turn, matter, receiver);
    const { overMs, due } = matter;
    if (overMs !== null && nowMs - overMs >= calmMs && Object.keys(due).length === 0) {
      delete state.matters[matter.id];
    }
  }
  sendDigests(turn);
  endBursts(turn);
}

function sendDigests(turn: Turn): void {
  const { state, rules, nowMs } = turn;
  for (const receiver of rules.receivers) {
    const { id, digestMin, zone } = receiver;
    if (digestMin === null) {
      delete state.digests[id];
      continue;
    }
    state.digests[id] ??= { dueMs: nextTimeOfDayMs(nowMs, digestMin, zone), seqs: [], more: 0 };
    const { dueMs, seqs, more } = state.digests[id];
    if (dueMs > nowMs) continue;
    post(turn, receiver, {
      id: `digest/${id}/${dueMs}`,
      matter: null,
      weight: 'tell',
      why: 'digest',
      seqs,
      more,
    });
    state.digests[id] = { dueMs: nextTimeOfDayMs(nowMs, digestMin, zone), seqs: [], more: 0 };
  }
}

function mattersOf(state: Manners, watch: string): Matter[] {
  return Object.values(state.matters).filter((matter) => matter.watch === watch);
}

/** The clock was stepped: what was to come in ten minutes still comes in ten minutes. */
function shift(state: Manners, deltaMs: number): void {
  for (const matter of Object.values(state.matters)) {
    matter.openedMs += deltaMs;
    if (matter.overMs !== null) matter.overMs += deltaMs;
    if (matter.snoozedToMs !== null) matter.snoozedToMs += deltaMs;
    if (matter.remindAtMs !== null) matter.remindAtMs += deltaMs;
    if (matter.lastTold !== null) matter.lastTold.atMs += deltaMs;
    for (const told of Object.values(matter.told)) told.atMs += deltaMs;
    for (const due of Object.values(matter.due)) due.atMs += deltaMs;
  }
  for (const burst of Object.values(state.bursts)) burst.fromMs += deltaMs;
}

/** When the next thing falls due; null where nothing does. */
export function wakeAtMs(state: Manners): number | null {
  let leastMs = burstsEndMs(state);
  for (const matter of Object.values(state.matters)) {
    for (const { atMs } of Object.values(matter.due)) leastMs = Math.min(leastMs, atMs);
  }
  for (const { dueMs } of Object.values(state.digests)) leastMs = Math.min(leastMs, dueMs);
  return leastMs === Infinity ? null : leastMs;
}

/** The matters that stand open, the heaviest first. */
export function openMatters(state: Manners): Matter[] {
  return Object.values(state.matters)
    .filter(({ overMs }) => overMs === null)
    .sort((a, b) => rankOf(b.weight) - rankOf(a.weight) || a.openedMs - b.openedMs);
}
