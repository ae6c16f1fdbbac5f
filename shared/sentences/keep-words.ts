/** What is said of a keep: notices and its standing sentence. */

import type { HappeningOf } from '../contract/event.ts';
import type { InstantQuantiles, TempQuantiles } from '../contract/forecast.ts';
import type { KeepCause, KeepNote, KeepSide, KeepWindow } from '../contract/keep.ts';
import type { KeepView } from '../contract/keep-view.ts';
import { milkFreezesC } from '../dairy/milk-freezing.ts';
import { capital } from './capital.ts';
import { missedCaution } from './chill-words.ts';
import { doubtedSentence } from './doubt-words.ts';
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
} from './speech.ts';
import type { WatchSentence } from './watch-sentence.ts';

/** What cold-keeping may only shorten. */
export const keepCaution = 'Use what stands in it sooner, never later, than its age rule says.';

/** What warmth does to what was frozen. */
export const thawCaution = 'What has thawed does not keep as what is frozen.';

/** Whether a window keeps things frozen: its warm limit is below where milk freezes. */
export function isFreezing({ highC }: KeepWindow): boolean {
  return highC !== null && highC < milkFreezesC;
}

/** What is meant where a place is said to be warm: the milk of a fridge, whatever stands in a freezer. */
export function keptIn(window: KeepWindow): string {
  return isFreezing(window) ? 'what is in it' : 'the milk';
}

/** Says that a keep is on its way out of its window. */
export function willLeaveText(body: HappeningOf<'keep-will-leave'>['body'], speech: Speech): string {
  const { cause, causeSinceMs, side, window, crossing } = body;
  const since = ` since ${clockText(causeSinceMs, speech)}`;
  return `${causeNow(cause)}${cause === 'warming' ? '' : since}; ${leavesText({ side, window, crossing }, speech)}. ${whatToDo(cause, window, side)}`;
}

/** Says that the milk is out of its window, by which rule, and what that means. */
export function leftText(body: HappeningOf<'keep-left'>['body'], speech: Speech): string {
  const { side, window, rule, beyondMs, leftAtMs, milk, cause } = body;
  const limit = limitOf(window, side);
  const beyond = `${side === 'warm' ? 'over' : 'under'} ${limitText(limit, speech)}`;
  const near = `near ${milkAt(milk, limit, speech)}`;
  const caution =
    side === 'cold' ? 'Freezing milk cracks glass.' : isFreezing(window) ? thawCaution : missedCaution;
  if (rule === 'cumulative') {
    return `${keptIn(window)} was ${beyond} for ${minutesText(beyondMs)} in the last day, ${near} now. ${isFreezing(window) ? '' : `${keepCaution} `}${caution}`;
  }
  return `${keptIn(window)} is ${beyond} since ${clockText(leftAtMs, speech)}, ${near}; ${causeNow(cause)}. ${whatToDo(cause, window, side)} ${caution}`;
}

/** Says that it is over, and how far it went. */
export function backText(body: HappeningOf<'keep-back'>['body'], speech: Speech): string {
  const { side, window, leftAtMs, mostC, cause } = body;
  const limit = limitOf(window, side);
  const what = causePast(cause);
  if (leftAtMs === null) {
    return `${what}; ${keptIn(window)} stayed ${side === 'warm' ? 'under' : 'above'} ${limitText(limit, speech)}.`;
  }
  const most = mostC === null ? '' : `, near ${milkText(mostC, limit, speech)} at the most`;
  const was = side === 'warm' ? 'over' : 'under';
  return `${what}; ${keptIn(window)} was ${was} ${limitText(limit, speech)} from ${clockText(leftAtMs, speech)}${most}. ${side === 'cold' ? 'Look at the glass.' : isFreezing(window) ? thawCaution : keepCaution}`;
}

/** Says that a place cools worse, or is warmer, than a week ago. */
export function driftsText(body: HappeningOf<'keep-drifts'>['body'], speech: Speech): string {
  const { meanC, meanBeforeC, dutyShare, dutyBeforeShare } = body;
  const said: string[] = [];
  if (dutyShare !== null && dutyBeforeShare !== null) {
    said.push(`runs ${percent(dutyShare)} of the time, ${percent(dutyBeforeShare)} a week ago`);
  }
  if (Math.abs(meanC - meanBeforeC) >= 0.3) {
    said.push(
      `its air is ${milkText(meanC, meanC, speech)} in the mean, ${milkText(meanBeforeC, meanBeforeC, speech)} a week ago`,
    );
  }
  return `${said.join('; ')}. Look at its door seal, its coils and its frost.`;
}

/** Says where a keep stands. `nowMs` serves the length of a silence. */
export function keepSentence(view: KeepView, speech: Speech, nowMs: number): WatchSentence {
  switch (view.state) {
    case 'keeping':
      return { ...bare, word: 'Keeping', say: [fixed('No hand wanted.')], or: keepingText(view, speech) };
    case 'leaving':
      return {
        word: 'Leaving',
        say: [fixed(doNow(view, speech))],
        or: orElse(view, speech),
        notes: [],
        handWanted: true,
      };
    case 'left':
      return {
        word: 'Left',
        say: [fixed(doNow(view, speech))],
        or: [fixed(leftNow(view, speech))],
        notes:
          view.side === 'cold'
            ? ['Freezing milk cracks glass.']
            : isFreezing(view.window)
              ? [thawCaution]
              : [keepCaution, missedCaution],
        handWanted: true,
      };
    case 'silent':
      return {
        word: 'No word from the probe',
        say: [fixed(`Look at the probe of ${nameOf(speech, view.probe)},`)],
        or: [fixed(`silent for ${minutesText(nowMs - (view.latest?.atMs ?? view.sinceMs))}.`)],
        notes: [],
        handWanted: true,
      };
    case 'doubted':
      return doubtedSentence(view, speech);
    case 'ended':
      return { ...bare, word: 'Nothing on watch', say: [fixed('This watch has ended.')], or: [] };
    default:
      return view.state satisfies never;
  }
}

/** What a note is called in a list: "Door", "Power off". */
export function noteName(cause: KeepCause): string {
  switch (cause) {
    case 'door-open':
      return 'Door';
    case 'door-ajar':
      return 'Door ajar';
    case 'defrost':
      return 'Defrost';
    case 'warm-load':
      return 'Something warm put in';
    case 'cooling-stopped':
      return 'Cooling stopped';
    case 'power-off':
      return 'Power off';
    case 'failing':
      return 'Cooling failing';
    case 'too-cold':
      return 'Too cold';
    case 'warming':
      return 'Warmer';
    case 'settling':
    case 'usual':
      return 'As usual';
    default:
      return cause satisfies never;
  }
}

const bare = { notes: [] as string[], handWanted: false };

function keepingText(view: KeepView, speech: Speech): Phrase[] {
  const { window, milk, day } = view;
  const last = view.notes.findLast(({ cause }) => isTrouble(cause));
  const limitC = window.highC;
  if (last !== undefined && last.toMs !== null && limitC !== null) {
    const stayed = day.milkMostC <= limitC ? 'stayed' : 'is again';
    return [
      fixed(
        `${capital(causePast(last.cause))} ${spanOf(last, speech)}; ${keptIn(window)} ${stayed} under ${limitText(limitC, speech)}.`,
      ),
    ];
  }
  if (milk === null || limitC === null) return [];
  const most = day.milkMostC <= limitC ? `, ${milkText(day.milkMostC, limitC, speech)} at the most` : '';
  const now = view.cause === 'usual' || view.cause === 'settling' ? '' : ` ${capital(causeNow(view.cause))}.`;
  return [fixed(`${capital(keptIn(window))} is near ${milkAt(milk, limitC, speech)}${most}.${now}`)];
}

function isTrouble(cause: KeepCause): boolean {
  return cause === 'power-off' || cause === 'cooling-stopped' || cause === 'door-ajar' || cause === 'failing';
}

function spanOf(note: KeepNote, speech: Speech): string {
  const from = clockText(note.fromMs, speech);
  return note.toMs === null ? `since ${from}` : `${from} to ${clockText(note.toMs, speech)}`;
}

function doNow(view: KeepView, speech: Speech): string {
  const name = nameOf(speech, view.probe);
  if (view.side === 'cold') return `Set ${name} warmer,`;
  switch (view.cause) {
    case 'door-ajar':
    case 'door-open':
      return `Shut the door of ${name},`;
    case 'power-off':
      return `Keep ${name} shut,`;
    case 'cooling-stopped':
    case 'failing':
    case 'settling':
    case 'usual':
    case 'defrost':
    case 'warm-load':
    case 'too-cold':
    case 'warming':
      return `Look at ${name},`;
    default:
      return view.cause satisfies never;
  }
}

/** Why a hand is wanted, where the imperative does not say it already: "it has not cooled since 6:24; ". */
function reason(view: KeepView, speech: Speech): string {
  const { cause, causeSinceMs, side } = view;
  if (side === 'cold' || cause === 'door-ajar' || cause === 'door-open') return '';
  const told = cause === 'cooling-stopped' || cause === 'power-off' || cause === 'failing';
  return `${causeNow(cause)}${told ? ` since ${clockText(causeSinceMs, speech)}` : ''}; `;
}

function orElse(view: KeepView, speech: Speech): Phrase[] {
  const { side, window, forecast } = view;
  const near = forecast?.crossing.p50 ?? null;
  const limit = limitText(limitOf(window, side ?? 'warm'), speech);
  const why = reason(view, speech);
  if (near === null) return [fixed(`${why}${keptIn(window)} is close to ${limit}.`)];
  return [
    fixed(`${why === '' ? 'or ' : why}${keptIn(window)} passes ${limit} near `),
    slanted(clockText(near, speech)),
    fixed('.'),
  ];
}

function leftNow(view: KeepView, speech: Speech): string {
  const side = view.side ?? 'warm';
  const limit = limitText(limitOf(view.window, side), speech);
  const since = view.leftAtMs === null ? '' : ` since ${clockText(view.leftAtMs, speech)}`;
  return `${reason(view, speech)}${keptIn(view.window)} is ${side === 'warm' ? 'over' : 'under'} ${limit}${since}.`;
}

function leavesText(
  { side, window, crossing }: { side: KeepSide; window: KeepWindow; crossing: InstantQuantiles },
  speech: Speech,
): string {
  const limit = limitText(limitOf(window, side), speech);
  if (crossing.p50 === null) return `${keptIn(window)} may pass ${limit}`;
  return `${keptIn(window)} passes ${limit} near ${clockText(crossing.p50, speech)} if nothing changes`;
}

function whatToDo(cause: KeepCause, window: KeepWindow, side: KeepSide): string {
  if (side === 'cold') return 'Set it warmer.';
  const ice = isFreezing(window) ? '' : '; ice beside the jars gains time';
  switch (cause) {
    case 'door-ajar':
    case 'door-open':
      return 'Shut the door.';
    case 'power-off':
      return `Keep the door shut${ice}.`;
    case 'cooling-stopped':
      return `Look at plug and switch, keep the door shut${ice}.`;
    case 'failing':
      return 'Look at its frost, its coils and its door seal.';
    case 'settling':
    case 'usual':
    case 'defrost':
    case 'warm-load':
    case 'too-cold':
    case 'warming':
      return 'Look at the door and the plug.';
    default:
      return cause satisfies never;
  }
}

function causeNow(cause: KeepCause): string {
  switch (cause) {
    case 'door-open':
      return 'the door is open';
    case 'door-ajar':
      return 'the door stands ajar';
    case 'defrost':
      return 'it is defrosting';
    case 'warm-load':
      return 'something warm was put in';
    case 'cooling-stopped':
      return 'it has not cooled';
    case 'power-off':
      return 'the power is off';
    case 'failing':
      return 'it is losing its cold';
    case 'too-cold':
      return 'it does not stop cooling';
    case 'warming':
    case 'settling':
    case 'usual':
      return 'it is getting warmer';
    default:
      return cause satisfies never;
  }
}

function causePast(cause: KeepCause): string {
  switch (cause) {
    case 'door-open':
      return 'the door was open';
    case 'door-ajar':
      return 'the door was ajar';
    case 'defrost':
      return 'it defrosted';
    case 'warm-load':
      return 'something warm was put in';
    case 'cooling-stopped':
      return 'it cools again';
    case 'power-off':
      return 'the power was off';
    case 'failing':
      return 'it cools again';
    case 'too-cold':
      return 'it was too cold';
    case 'warming':
    case 'settling':
    case 'usual':
      return 'it is cold again';
    default:
      return cause satisfies never;
  }
}

function limitOf({ lowC, highC }: KeepWindow, side: KeepSide): number {
  return (side === 'warm' ? highC : lowC) ?? 0;
}

function milkAt(milk: TempQuantiles, limitC: number, speech: Speech): string {
  return milkText(milk.p50, limitC, speech);
}

function percent(share: number): string {
  return `${Math.round(share * 100)} %`;
}
