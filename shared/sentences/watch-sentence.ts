import type { WatchView } from '../contract/api.ts';
import { offeredRescue } from '../dairy/offered-rescue.ts';
import {
  afterOrigin,
  coldCaution,
  houseRuleOnly,
  missedCaution,
  notYetSure,
  wasWhenUp,
} from './chill-words.ts';
import { doubtedSentence } from './doubt-words.ts';
import { rescueCautions, rescueHope, rescueImperative, takenSince } from './rescue-words.ts';
import {
  clockText,
  fixed,
  limitText,
  milkText,
  minutesText,
  nameOf,
  type Phrase,
  type Speech,
  slanted,
  spanName,
} from './speech.ts';

/** What the page says of a watch: the state in words, the sentence, and what else is to know. */
export type WatchSentence = {
  word: string;
  say: Phrase[];
  or: Phrase[];
  /** Cautions that belong to it, for smaller print. */
  notes: string[];
  /** True where a hand is wanted: the sentence is an imperative and sits on a plate. */
  handWanted: boolean;
};

/** Says where a watch stands. `nowMs` serves the length of a silence. */
export function watchSentence(view: WatchView, speech: Speech, nowMs: number): WatchSentence {
  switch (view.state) {
    case 'too-early':
      return bare('Too early to say', [fixed('Watching it cool.')], [fixed(waitingFor(view, speech))]);
    case 'on-course':
      return onCourse(view, speech);
    case 'not-on-course':
      return notOnCourse(view, speech, nowMs);
    case 'made':
      return bare('Made it', underAt(view, speech), [fixed(madeText(view))]);
    case 'missed':
      return tooLate(view, speech, nowMs);
    case 'late':
      return bare('Too late', underAt(view, speech), [fixed(lateText(view))], [coldCaution]);
    case 'silent':
      return silentSentence(view, speech, nowMs);
    case 'doubted':
      return doubtedSentence(view, speech);
    case 'ended':
      return bare('Nothing on watch', [fixed('This watch has ended.')], []);
    default:
      return view.state satisfies never;
  }
}

/** Says that no probe is in warm milk. */
export function emptySentence(spanMs: number): WatchSentence {
  const span = spanName(spanMs);
  const starts = span.are === 'is' ? 'starts by itself' : 'start by themselves';
  const or = `The ${span.name} ${starts} when a probe feels it.`;
  return bare('Nothing on watch', [fixed('Waiting for warm milk.')], [fixed(or)]);
}

function bare(word: string, say: Phrase[], or: Phrase[], notes: string[] = []): WatchSentence {
  return { word, say, or, notes, handWanted: false };
}

function waitingFor(view: WatchView, speech: Speech): string {
  const { window } = view;
  const taken = view.taken?.at(-1);
  const since = taken === undefined ? '' : `${takenSince(taken, speech)}. `;
  return `${since}Wanted: ${limitText(window.limitC, speech)} and under by ${clockText(window.deadlineMs, speech)}.`;
}

function onCourse(view: WatchView, speech: Speech): WatchSentence {
  const { limitC } = view.window;
  const latestC = view.latest?.tempC;
  if (view.crossedAtMs !== null && latestC !== undefined && latestC <= limitC) {
    const sure = notYetSure(latestC, { limitC, marginC: view.marginC }, speech);
    return bare('On course', underAt(view, speech), [fixed(sure)]);
  }
  return bare('On course', underNear(view, speech), beforeItsTime(view));
}

/** With a way out the sentence says what to do; without, what will happen. */
function notOnCourse(view: WatchView, speech: Speech, nowMs: number): WatchSentence {
  const rescue = offeredRescue(view.forecast?.rescues ?? [], nowMs);
  if (rescue === null) return bare('Not on course', underNear(view, speech), afterItsTime(view, speech));
  const hope = rescueHope(rescue, speech);
  return {
    word: 'Not on course',
    say: [fixed(rescueImperative(rescue, nowMs, speech))],
    or: hope.length > 0 ? hope : orElse(view, speech),
    notes: rescueCautions(rescue.cautions),
    handWanted: true,
  };
}

function orElse(view: WatchView, speech: Speech): Phrase[] {
  const limit = limitText(view.window.limitC, speech);
  const crossing = view.forecast?.crossing.p50 ?? null;
  if (crossing === null) return [fixed('or it '), slanted(`stays above ${limit}.`)];
  const lateMs = crossing - view.window.deadlineMs;
  if (lateMs < 60_000) return [fixed(`or it may come under ${limit} too late.`)];
  return [fixed(`or it comes under ${limit} `), slanted(minutesText(lateMs)), fixed(' late.')];
}

function underNear(view: WatchView, speech: Speech): Phrase[] {
  const limit = limitText(view.window.limitC, speech);
  const crossing = view.forecast?.crossing.p50 ?? null;
  if (crossing === null) return [fixed(`It does not get under ${limit} `), slanted('as it is going.')];
  return [fixed(`Under ${limit} near `), slanted(clockText(crossing, speech)), fixed(',')];
}

function beforeItsTime(view: WatchView): Phrase[] {
  const crossing = view.forecast?.crossing.p50 ?? null;
  if (crossing === null) return [];
  const span = spanName(view.window.spanMs);
  const spareMs = view.window.deadlineMs - crossing;
  if (spareMs < 60_000) return [fixed(`just as its ${span.name} ${span.are} up.`)];
  return [slanted(minutesText(spareMs)), fixed(` before its ${span.name} ${span.are} up.`)];
}

function afterItsTime(view: WatchView, speech: Speech): Phrase[] {
  const crossing = view.forecast?.crossing.p50 ?? null;
  if (crossing !== null && crossing > view.window.deadlineMs) {
    return [slanted(minutesText(crossing - view.window.deadlineMs)), fixed(' late.')];
  }
  const then = view.forecast?.atDeadline?.p50;
  if (then === undefined) return [];
  return [
    fixed(`near `),
    slanted(milkText(then, view.window.limitC, speech)),
    fixed(` at ${clockText(view.window.deadlineMs, speech)}.`),
  ];
}

function underAt(view: WatchView, speech: Speech): Phrase[] {
  const limit = limitText(view.window.limitC, speech);
  if (view.crossedAtMs === null) return [fixed(`Under ${limit}.`)];
  return [fixed(`Under ${limit} at ${clockText(view.crossedAtMs, speech)}.`)];
}

function madeText(view: WatchView): string {
  return view.crossedAtMs === null ? '' : `${afterOrigin(view.window, view.crossedAtMs)}.`;
}

function tooLate(view: WatchView, speech: Speech, nowMs: number): WatchSentence {
  const or = [fixed(wasWhenUp(view.atDeadlineC, view, speech))];
  const rescue = offeredRescue(view.forecast?.rescues ?? [], nowMs);
  if (rescue === null) return bare('Too late', lateNow(view, speech), or, [houseRuleOnly, missedCaution]);
  const say = [fixed(rescueImperative(rescue, nowMs, speech).replace(/,$/, '.'))];
  const notes = [houseRuleOnly, missedCaution, ...rescueCautions(rescue.cautions)];
  return { word: 'Too late', say, or, notes, handWanted: true };
}

function lateNow(view: WatchView, speech: Speech): Phrase[] {
  const near = view.forecast?.crossing.p50 ?? null;
  if (near === null) return [fixed(`Not under ${limitText(view.window.limitC, speech)} in time.`)];
  return [
    fixed(`Under ${limitText(view.window.limitC, speech)} near `),
    slanted(clockText(near, speech)),
    fixed(', late.'),
  ];
}

function lateText(view: WatchView): string {
  if (view.crossedAtMs === null) return '';
  return `${minutesText(view.crossedAtMs - view.window.deadlineMs)} late.`;
}

function silentSentence(view: WatchView, speech: Speech, nowMs: number): WatchSentence {
  const heardMs = view.latest?.atMs ?? view.sinceMs;
  const or = [fixed(`silent for ${minutesText(nowMs - heardMs)}.`)];
  const by = pathAt(view, nowMs);
  if (by !== null) {
    or.push(fixed(' By its last curve the milk is near '), slanted(milkText(by, view.window.limitC, speech)));
    or.push(fixed('.'));
  }
  return {
    word: 'No word from the probe',
    say: [fixed(`Look at the probe of ${nameOf(speech, view.probe)},`)],
    or,
    notes: [],
    handWanted: true,
  };
}

function pathAt(view: WatchView, atMs: number): number | null {
  const path = view.forecast?.path ?? [];
  for (const [index, point] of path.entries()) {
    if (point.atMs < atMs) continue;
    const before = path[index - 1] ?? point;
    const share = point.atMs === before.atMs ? 0 : (atMs - before.atMs) / (point.atMs - before.atMs);
    return before.p50C + (point.p50C - before.p50C) * share;
  }
  return null;
}
