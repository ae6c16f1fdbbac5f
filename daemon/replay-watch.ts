/** The watches that a replay follows, of every kind: their forecasts when asked, and how they came out. Wiring. */
import type { Forecast } from '../shared/contract/forecast.ts';
import { outlookOf } from './forecast/chill-forecast.ts';
import { viewChill } from './forecast/chill-view.ts';
import { forecastHeat } from './forecast/heat-forecast.ts';
import { forecastHold } from './forecast/hold-forecast.ts';
import { type Chill, questionOf } from './watch/chill.ts';
import { metOf, rescuesOf } from './watch/chill-step.ts';
import { crossedAtMs } from './watch/crossing.ts';
import type { Heat } from './watch/heat.ts';
import { heatMetOf, heatQuestion } from './watch/heat-step.ts';
import type { Hold } from './watch/hold.ts';
import { holdCrossedAtMs, holdQuestion } from './watch/hold-step.ts';
import type { Keep } from './watch/keep.ts';
import { keepForecastOf, keepLeftAtMs } from './watch/keep-view.ts';
import type { Lane } from './watch/lane.ts';
import { heatForecastOf, holdForecastOf } from './watch/pot-view.ts';
import { forecastOf } from './watch/view.ts';

/** A watch that a replay has seen begin. The state stays the one that the watching steps, also once it has ended. */
export type Followed =
  | { kind: 'chill'; chill: Chill }
  | { kind: 'heat'; heat: Heat }
  | { kind: 'hold'; hold: Hold }
  | { kind: 'keep'; keep: Keep };

/** The watch of that id on a lane; null where it has none. */
export function followedOf(lane: Lane | undefined, watch: string): Followed | null {
  if (lane === undefined) return null;
  const { chill, heat, hold, keep } = lane;
  if (chill?.id === watch) return { kind: 'chill', chill };
  if (heat?.id === watch) return { kind: 'heat', heat };
  if (hold?.id === watch) return { kind: 'hold', hold };
  return keep?.id === watch ? { kind: 'keep', keep } : null;
}

/** The instant from which its spans count. */
export function sinceOf(followed: Followed): number {
  switch (followed.kind) {
    case 'chill':
      return followed.chill.sinceMs;
    case 'heat':
      return followed.heat.sinceMs;
    case 'hold':
      return followed.hold.sinceMs;
    case 'keep':
      return followed.keep.sinceMs;
    default:
      return followed satisfies never;
  }
}

/** The forecast as it stands; null while there is too little to say. */
export function standingForecast(followed: Followed): Forecast | null {
  switch (followed.kind) {
    case 'chill':
      return forecastOf(followed.chill);
    case 'heat':
      return heatForecastOf(followed.heat);
    case 'hold':
      return holdForecastOf(followed.hold);
    case 'keep':
      return keepForecastOf(followed.keep);
    default:
      return followed satisfies never;
  }
}

/** The forecast made anew from all that was fed, without changing the watch. */
export function askedForecast(followed: Followed, atMs: number): Forecast | null {
  switch (followed.kind) {
    case 'chill': {
      const { chill } = followed;
      const question = questionOf(chill);
      const view = viewChill(chill.trace, question, atMs);
      if (view === null) return null;
      const seen = { ...chill, outlook: outlookOf(view, question) };
      return forecastOf({ ...seen, rescues: rescuesOf(seen, view, { atMs, slice: null }) });
    }
    case 'heat': {
      const { heat } = followed;
      const outlook = forecastHeat(heat.bank, heatQuestion(heat));
      return heatForecastOf({ ...heat, outlook });
    }
    case 'hold': {
      const { hold } = followed;
      return holdForecastOf({ ...hold, outlook: forecastHold(hold.bank, holdQuestion(hold)) });
    }
    case 'keep':
      return keepForecastOf(followed.keep);
    default:
      return followed satisfies never;
  }
}

/** How a watch came out by `endMs`; null where that is still open. */
export function outcomeOf(
  followed: Followed,
  endMs: number,
): { watch: string; met: boolean; crossedAt: number | null } | null {
  switch (followed.kind) {
    case 'chill':
      return reached(followed.chill.id, crossedAtMs(followed.chill.typed), metOf(followed.chill, endMs));
    case 'heat':
      return reached(followed.heat.id, crossedAtMs(followed.heat.typed), heatMetOf(followed.heat, endMs));
    case 'hold': {
      const { hold } = followed;
      return { watch: hold.id, met: hold.proof !== null, crossedAt: holdCrossedAtMs(hold) };
    }
    case 'keep': {
      const leftMs = keepLeftAtMs(followed.keep);
      return { watch: followed.keep.id, met: leftMs === null, crossedAt: leftMs };
    }
    default:
      return followed satisfies never;
  }
}

function reached(watch: string, crossedMs: number | null, met: boolean | null): ReturnType<typeof outcomeOf> {
  return crossedMs === null && met !== false ? null : { watch, met: met === true, crossedAt: crossedMs };
}
