import type { HeatView, HoldView } from '../contract/pot-view.ts';
import { formatTempDiff } from '../units/format.ts';
import { capital } from './capital.ts';
import { doubtedSentence } from './doubt-words.ts';
import { breakText, holdText, nearText, potText, provedText, shortText, targetText } from './pot-words.ts';
import {
  clockText,
  fixed,
  limitText,
  minutesText,
  nameOf,
  type Phrase,
  type Speech,
  slanted,
} from './speech.ts';
import type { WatchSentence } from './watch-sentence.ts';

/** Says where a pot on its way up stands. `nowMs` serves the length of a silence. */
export function heatSentence(view: HeatView, speech: Speech, nowMs: number): WatchSentence {
  const target = targetText(view.window, speech);
  const crossing = view.forecast?.crossing.p50 ?? null;
  switch (view.state) {
    case 'too-early':
      return bare('Too early to say', [fixed('Watching it warm.')], [fixed(`Wanted: ${target}.`)]);
    case 'on-course': {
      const at =
        crossing === null ? [slanted('soon')] : [fixed('near '), slanted(clockText(crossing, speech))];
      const say = [fixed(`At ${target} `), ...at, fixed(',')];
      if (view.stir)
        return hand('On course', [fixed('Stir the bottom now,')], [fixed('it climbs fast and may scorch.')]);
      return bare('On course', say, toGo(view, nowMs));
    }
    case 'heat-off':
      return hand(
        'On course',
        [fixed(view.window.holdAfter === null ? 'Heat off now,' : 'Heat low now,')],
        coasts(view, speech),
      );
    case 'not-on-course':
      return notOnCourse(view, speech);
    case 'reached':
      return bare('Made it', reachedAt(view, speech), afterwards(view, speech));
    case 'over':
      return hand('Over', [fixed('Take it off the heat,')], [fixed(`it climbs past ${target}.`)]);
    case 'missed':
      return bare('Too late', [fixed(`Not at ${target} in time.`)], levels(view, speech));
    case 'silent':
      return silent(view, speech, nowMs);
    case 'doubted':
      return doubtedSentence(view, speech);
    case 'ended':
      return bare('Nothing on watch', [fixed('This watch has ended.')], []);
    default:
      return view.state satisfies never;
  }
}

/** Says where a hold stands. */
export function holdSentence(view: HoldView, speech: Speech, nowMs: number): WatchSentence {
  const { window } = view;
  const limit = limitText(window.lowC, speech);
  switch (view.state) {
    case 'waiting':
      return bare('Waiting', [fixed(`Waiting for ${limit}.`)], [fixed(`Then ${holdText(window, speech)}.`)]);
    case 'begun-again': {
      const why = view.lastBreak === null ? '' : breakText(view.lastBreak.why, view, speech);
      return hand(
        'Begun again',
        [fixed(`Back to ${limit},`)],
        [fixed(`${why}; the clock begins again there.`)],
      );
    }
    case 'holding':
      return bare('On course', provesNear(view, speech), stillToGo(view));
    case 'drifting': {
      const leaves = view.leaves?.p50 ?? null;
      const over = view.rateCPerMin !== null && view.rateCPerMin > 0;
      const when = leaves === null ? [slanted('soon')] : [fixed('near '), slanted(clockText(leaves, speech))];
      const out = over
        ? `or it goes over ${limitText(window.highC ?? window.lowC, speech)} `
        : `or it goes under ${limit} `;
      return hand(
        'Not on course',
        [fixed(over ? 'A little less heat,' : 'A little more heat,')],
        [fixed(out), ...when, fixed('.')],
      );
    }
    case 'proved': {
      const at = view.proof === null ? '' : ` at ${clockText(view.proof.toMs, speech)}`;
      return bare(
        'Proved',
        [fixed(`Held${at}.`)],
        view.proof === null
          ? []
          : [fixed(capital(provedText({ window, marginC: view.marginC, proof: view.proof }, speech)))],
      );
    }
    case 'cooled':
      return bare('Cooled', [fixed(`Down to ${limitText(window.coolToC ?? window.lowC, speech)}.`)], []);
    case 'silent':
      return silent(view, speech, nowMs);
    case 'doubted':
      return doubtedSentence(view, speech);
    case 'ended':
      return bare('Nothing on watch', [fixed('This watch has ended.')], []);
    default:
      return view.state satisfies never;
  }
}

function bare(word: string, say: Phrase[], or: Phrase[], notes: string[] = []): WatchSentence {
  return { word, say, or, notes, handWanted: false };
}

function hand(word: string, say: Phrase[], or: Phrase[]): WatchSentence {
  return { word, say, or, notes: [], handWanted: true };
}

function toGo(view: HeatView, nowMs: number): Phrase[] {
  const crossing = view.forecast?.crossing.p50 ?? null;
  if (crossing === null || crossing <= nowMs) return [];
  return [fixed('in '), slanted(minutesText(crossing - nowMs)), fixed('.')];
}

function coasts(view: HeatView, speech: Speech): Phrase[] {
  if (view.coast === null) return [];
  return [fixed('it climbs on to '), slanted(nearText(view.coast.p50, speech)), fixed(' by itself.')];
}

function notOnCourse(view: HeatView, speech: Speech): WatchSentence {
  const { boilsC, forecast, level, short, window, withLid } = view;
  if (short === null || level === null)
    return bare(
      'Not on course',
      [fixed(`It may not get to ${targetText(window, speech)}.`)],
      levels(view, speech),
    );
  const text = shortText(
    { short, window, level, boilsC, withLid: withLid !== null, crossingMs: forecast?.crossing.p50 ?? null },
    speech,
  );
  const say =
    short === 'boils-below'
      ? 'Choose a lower target,'
      : short === 'levels-off' && withLid !== null
        ? 'Put the lid on,'
        : short === 'not-warming' || short === 'cooling'
          ? 'Look at the heat,'
          : 'Turn the heat up,';
  const or = text.replace(/; (turn the heat up|put the lid on[^.]*)\.$/, '.');
  return hand('Not on course', [fixed(say)], [fixed(or)]);
}

function levels(view: HeatView, speech: Speech): Phrase[] {
  if (view.level === null) return [];
  return [fixed('It stops near '), slanted(nearText(view.level.p50, speech)), fixed(' as it is going.')];
}

function reachedAt(view: HeatView, speech: Speech): Phrase[] {
  const target = targetText(view.window, speech);
  return [
    fixed(
      view.crossedAtMs === null
        ? `At ${target}.`
        : `At ${target} since ${clockText(view.crossedAtMs, speech)}.`,
    ),
  ];
}

function afterwards({ window, mostC }: HeatView, speech: Speech): Phrase[] {
  if (mostC === null) return [];
  return [fixed(`${potText(mostC, window.limitC, speech)} at the most.`)];
}

function provesNear(view: HoldView, speech: Speech): Phrase[] {
  if (view.provesAtMs === null) return [fixed('It holds.')];
  return [fixed('Proved at '), slanted(clockText(view.provesAtMs, speech)), fixed('.')];
}

function stillToGo(view: HoldView): Phrase[] {
  const left = view.window.holdMs - view.provedMs;
  return [fixed(`${minutesText(view.provedMs)} proved, `), slanted(minutesText(left)), fixed(' to go.')];
}

function silent(view: HeatView | HoldView, speech: Speech, nowMs: number): WatchSentence {
  const heardMs = view.latest?.atMs ?? view.sinceMs;
  return hand(
    'No word from the probe',
    [fixed(`Look at the probe of ${nameOf(speech, view.probe)},`)],
    [fixed(`silent for ${minutesText(nowMs - heardMs)}.`)],
  );
}

/** How far a hold stays over its limit: "1.5 °F over". */
export function overText(view: HoldView, speech: Speech): string | null {
  if (view.leastC === null) return null;
  return `${formatTempDiff(view.leastC - view.window.lowC, { units: speech.units, digits: 1 })} over`;
}
