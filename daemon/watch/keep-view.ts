import type { Forecast } from '../../shared/contract/forecast.ts';
import type { KeepState, KeepView } from '../../shared/contract/keep-view.ts';
import { milkOf } from '../forecast/keep-jar.ts';
import { causeOf, type Keep } from './keep.ts';
import { dayOf } from './keep-day.ts';
import { crossingOf, keepVerdict } from './keep-matter.ts';
import type { Lane } from './lane.ts';

/** How an open keep is shown; null where the lane has none. */
export function keepViewOf(lane: Lane): KeepView | null {
  const { keep } = lane;
  if (keep === null) return null;
  const { matter, ifPowerWent, telling } = keep;
  return {
    v: 1,
    id: keep.id,
    kind: 'keep',
    probe: keep.probe,
    place: keep.place,
    placeKind: keep.placeKind,
    state: stateOf(lane, keep),
    sinceMs: keep.sinceMs,
    window: keep.window,
    marginC: keep.marginC,
    latest: keep.latest,
    inVessel: keep.jar.inVessel,
    milk: milkOf(keep.jar),
    cause: causeOf(keep),
    causeSinceMs: Math.round(keep.powerOffMs ?? telling.sinceMin * 60_000),
    side: matter?.told === true ? matter.side : null,
    leftAtMs: matter?.leftAtMs ?? null,
    day: dayOf(keep),
    duty: dutyOf(keep),
    notes: keep.notes,
    silentSinceMs: lane.silentSinceMs,
    doubt: lane.trust.doubt,
    forecast: keepForecastOf(keep),
    ifPowerWent: ifPowerWent === null ? null : { crossing: ifPowerWent.warm, path: ifPowerWent.path },
  };
}

/** The forecast of a keep as the contract has it; null while there is too little to say. */
export function keepForecastOf(keep: Keep): Forecast | null {
  const { outlook } = keep;
  if (outlook === null) return null;
  return {
    v: 1,
    watch: keep.id,
    madeAtMs: outlook.madeAtMs,
    dataToMs: outlook.dataToMs,
    verdict: keepVerdict(keep),
    chance: outlook.chance,
    crossing: crossingOf(keep, outlook),
    atDeadline: null,
    path: outlook.path,
    rescues: [],
    assumed: { place: keep.placeKind, aroundC: outlook.aroundC, volumeL: null, from: 'measured' },
    marginC: keep.marginC,
  };
}

/** When what is kept first left its window, also where nothing came after that could contradict it; null where it never did. */
export function keepLeftAtMs(keep: Pick<Keep, 'left'>): number | null {
  return keep.left.atMs ?? keep.left.candidateMs;
}

/** How much of the time it cooled: yesterday's share, and the mean of three days a week before. */
function dutyOf(keep: Keep): KeepView['duty'] {
  const days = keep.trace.days.slice(0, -1);
  const last = days.at(-1);
  if (last === undefined || keep.jar.inVessel || keep.telling.usual === null) {
    return { dayShare: null, weekAgoShare: null };
  }
  const before = days.filter(([day]) => day >= last[0] - 9 && day <= last[0] - 6);
  const sum = before.reduce((total, [, , share]) => total + share, 0);
  return { dayShare: last[2], weekAgoShare: before.length === 0 ? null : sum / before.length };
}

function stateOf(lane: Lane, { matter }: Keep): KeepState {
  if (lane.silentSinceMs !== null) return 'silent';
  if (lane.trust.doubt !== null) return 'doubted';
  if (matter === null || !matter.told) return 'keeping';
  return matter.leftBy === null ? 'leaving' : 'left';
}
