import type { AnyWatchView, WatchState, WatchView } from '../../shared/contract/api.ts';
import type { Forecast } from '../../shared/contract/forecast.ts';
import type { Chill } from './chill.ts';
import { tempAtDeadline } from './chill-step.ts';
import { crossedAtMs } from './crossing.ts';
import { keepViewOf } from './keep-view.ts';
import type { Lane } from './lane.ts';
import { heatViewOf, holdViewOf } from './pot-view.ts';

/** How a lane's open watches are shown. */
export function watchViewsOf(lane: Lane): AnyWatchView[] {
  return [watchViewOf(lane), heatViewOf(lane), holdViewOf(lane), keepViewOf(lane)].filter(
    (view) => view !== null,
  );
}

/** How an open chill is shown; null where the lane has none. */
export function watchViewOf(lane: Lane): WatchView | null {
  const { chill } = lane;
  if (chill === null) return null;
  return {
    v: 1,
    id: chill.id,
    kind: 'chill',
    probe: chill.probe,
    state: stateOf(lane, chill),
    sinceMs: chill.sinceMs,
    window: chill.window,
    latest: chill.latest,
    rateCPerMin: chill.outlook?.rateCPerMin ?? null,
    silentSinceMs: lane.silentSinceMs,
    crossedAtMs: crossedAtMs(chill.typed),
    atDeadlineC: chill.missed || chill.late ? tempAtDeadline(chill) : null,
    marginC: chill.marginC,
    outer: chill.outer.map(({ state, window }) => ({ ...window, state })),
    doubt: lane.trust.doubt,
    taken: chill.taken,
    forecast: forecastOf(chill),
  };
}

/** The forecast of a chill as the contract has it; null while there is too little to say. */
export function forecastOf(chill: Chill): Forecast | null {
  const { outlook } = chill;
  if (outlook === null) return null;
  const { dataToMs, chance, crossing, atDeadline, path, assumed } = outlook;
  return {
    v: 1,
    watch: chill.id,
    madeAtMs: dataToMs,
    dataToMs,
    verdict: chill.verdict,
    chance,
    crossing,
    atDeadline,
    path,
    rescues: chill.rescues,
    assumed,
    marginC: chill.marginC,
  };
}

function stateOf(lane: Lane, chill: Chill): WatchState {
  if (chill.made) return 'made';
  if (lane.silentSinceMs !== null) return 'silent';
  if (lane.trust.doubt !== null) return 'doubted';
  if (chill.late) return 'late';
  if (chill.missed) return 'missed';
  switch (chill.verdict) {
    case 'on-course':
    case 'not-on-course':
    case 'doubted':
      return chill.verdict;
    case 'unsure':
      return 'too-early';
    default:
      return chill.verdict satisfies never;
  }
}
