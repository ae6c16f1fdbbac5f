/** What will happen today, in the order of the clock. */

import type { AnyWatchView, HouseView, WatchView } from '../../../shared/contract/api.ts';
import type { Rescue } from '../../../shared/contract/forecast.ts';
import type { KeepView } from '../../../shared/contract/keep-view.ts';
import type { HeatView, HoldView } from '../../../shared/contract/pot-view.ts';
import { iceForMilkKg } from '../../../shared/dairy/ice-balance.ts';
import { usualMilkKgPerL } from '../../../shared/dairy/milk-density.ts';
import { milkHeatKJPerKgK } from '../../../shared/dairy/milk-heat.ts';
import { ruleName } from '../../../shared/sentences/outer-words.ts';
import { targetText } from '../../../shared/sentences/pot-words.ts';
import { iceAmount, rescueLatest } from '../../../shared/sentences/rescue-words.ts';
import {
  fixed,
  limitText,
  nameOf,
  type Phrase,
  type Speech,
  slanted,
} from '../../../shared/sentences/speech.ts';
import { betweenText, byProbe, keepLimitC, windowName } from '../words/shown.ts';
import { wayOut } from '../words/way-out.ts';

export type Coming = {
  key: string;
  atMs: number;
  /** True where it has not happened yet and may come at another time: it is set slanted. */
  forecast: boolean;
  text: string;
  /** The interval of a forecast time, or what is wanted by then; empty where neither is known. */
  small: Phrase[];
  /** True where a hand is wanted by then. */
  handWanted: boolean;
};

/** Lists deadlines, forecast crossings and last moments after `nowMs`, soonest first. */
export function listToCome(
  watches: readonly AnyWatchView[],
  { nowMs, places, speech }: { nowMs: number; places: HouseView['places']; speech: Speech },
): Coming[] {
  return watches
    .flatMap((view) => comingOf(view, { nowMs, places, speech }))
    .filter((coming): coming is Coming => coming !== null && coming.atMs > nowMs)
    .sort((a, b) => a.atMs - b.atMs || (a.key < b.key ? -1 : 1));
}

function comingOf(
  view: AnyWatchView,
  { nowMs, places, speech }: { nowMs: number; places: HouseView['places']; speech: Speech },
): (Coming | null)[] {
  switch (view.kind) {
    case 'keep':
      return [leavingOf(view, { places, speech })];
    case 'chill':
      return [
        deadlineOf(view, speech),
        crossingOf(view, speech, nowMs),
        latestOf(view, { nowMs, speech }),
        ...outerOf(view, speech),
      ];
    case 'heat':
      return [thereOf(view, speech)];
    case 'hold':
      return [provedOf(view, speech)];
    default:
      return view satisfies never;
  }
}

/** What the region's rule asks of milk that has missed the house's own hour. */
function outerOf(view: WatchView, speech: Speech): Coming[] {
  if (view.state !== 'missed') return [];
  const open = (view.outer ?? []).filter(({ state }) => state === 'open');
  return open.map((window) => ({
    key: `${view.id}-outer-${window.limitC}`,
    atMs: window.deadlineMs,
    forecast: false,
    text: `${nameOf(speech, view.probe)}: ${limitText(window.limitC, speech)} and under`,
    small: [fixed(`asked by ${ruleName(window)}`)],
    handWanted: false,
  }));
}

/** When a pot is at its target. */
function thereOf(view: HeatView, speech: Speech): Coming | null {
  const crossing = view.forecast?.crossing;
  if (view.crossedAtMs !== null || crossing === undefined || crossing.p50 === null) return null;
  const interval = betweenText(crossing, speech);
  return {
    key: `${view.id}-there`,
    atMs: crossing.p50,
    forecast: true,
    text: `${nameOf(speech, view.probe)}: at ${targetText(view.window, speech)}`,
    small: interval === null ? [] : [slanted(interval)],
    handWanted: false,
  };
}

/** When a hold is proved, if nothing breaks it. */
function provedOf(view: HoldView, speech: Speech): Coming | null {
  if (view.proof !== null || view.provesAtMs === null) return null;
  return {
    key: `${view.id}-proved`,
    atMs: view.provesAtMs,
    forecast: true,
    text: `${nameOf(speech, view.probe)}: hold proved`,
    small: [],
    handWanted: false,
  };
}

function deadlineOf(view: WatchView, speech: Speech): Coming | null {
  if (view.state === 'made' || view.state === 'late') return null;
  return {
    key: `${view.id}-deadline`,
    atMs: view.window.deadlineMs,
    forecast: false,
    text: `${nameOf(speech, view.probe)}: the ${windowName(view.window.spanMs)} is up`,
    small: [],
    handWanted: false,
  };
}

function crossingOf(view: WatchView, speech: Speech, nowMs: number): Coming | null {
  const crossing = view.forecast?.crossing;
  if (view.crossedAtMs !== null || crossing === undefined || crossing.p50 === null) return null;
  const left = wayOut(view, nowMs) === null ? '' : ', if left';
  const interval = betweenText(crossing, speech);
  return {
    key: `${view.id}-crossing`,
    atMs: crossing.p50,
    forecast: true,
    text: `${nameOf(speech, view.probe)}: under ${limitText(view.window.limitC, speech)}${left}`,
    small: interval === null ? [] : [slanted(interval)],
    handWanted: false,
  };
}

/** The last moment for the offered rescue: an instruction, so it stands upright. */
function latestOf(view: WatchView, { nowMs, speech }: { nowMs: number; speech: Speech }): Coming | null {
  const rescue = wayOut(view, nowMs);
  if (rescue === null || rescue.lastUsefulAtMs === null) return null;
  return {
    key: `${view.id}-rescue`,
    atMs: rescue.lastUsefulAtMs,
    forecast: false,
    text: `${nameOf(speech, view.probe)}: ${rescueLatest(rescue.kind).long}`,
    small: iceWanted(rescue, view),
    handWanted: true,
  };
}

/** `the milk melts 0.4 kg; put in 1.5 kg`; the milk alone melts the first amount on its way to the limit. */
function iceWanted({ iceKg }: Rescue, { forecast, latest, window }: WatchView): Phrase[] {
  const volumeL = forecast?.assumed.volumeL ?? null;
  if (iceKg === null) return [];
  if (volumeL === null || latest === null) return [fixed(`put in ${iceAmount(iceKg)}`)];
  const meltKg = iceForMilkKg({
    milkKg: volumeL * usualMilkKgPerL,
    heatKJPerKgK: milkHeatKJPerKgK(latest.tempC / 2),
    fromC: latest.tempC,
    toC: window.limitC,
  });
  const melt = `${Math.max(0.1, meltKg).toFixed(1)} kg`;
  return [
    fixed('the milk melts '),
    slanted(melt),
    fixed(`; put in ${iceAmount(iceKg).replace(' of ice', '')}`),
  ];
}

/** When a keep leaves; only where that was told, since what keeps may always leave one day. */
function leavingOf(
  view: KeepView,
  { places, speech }: { places: HouseView['places']; speech: Speech },
): Coming | null {
  const crossing = view.forecast?.crossing;
  const limitC = keepLimitC(view);
  if (view.state !== 'leaving' || !crossing || crossing.p50 === null || limitC === null) return null;
  const interval = betweenText(crossing, speech);
  const beyond = view.side === 'cold' ? 'under' : 'over';
  return {
    key: `${view.id}-leaving`,
    atMs: crossing.p50,
    forecast: true,
    text: `${byProbe(view, { places, speech }).name}: milk ${beyond} ${limitText(limitC, speech)}`,
    small: interval === null ? [] : [slanted(interval)],
    handWanted: false,
  };
}
