/** What the state of the house comes to on a page: the watches in their order, each with all that is drawn of it. */

import type {
  AnyWatchView,
  HouseView,
  ProbeView,
  WatchState,
  WatchView,
} from '../../../shared/contract/api.ts';
import type { KeepView } from '../../../shared/contract/keep-view.ts';
import type { HeatView, HoldView } from '../../../shared/contract/pot-view.ts';
import type { Speech } from '../../../shared/sentences/speech.ts';
import { type Curve, emptyCurve } from '../feed/curve.ts';
import { type HouseState, speechOf } from '../feed/house-state.ts';
import { orderWatches, type ShownView, type ShownWatch } from './order.ts';

/** All that is drawn of one watch. */
type Sight<View extends ShownView> = {
  watch: ShownWatch<View>;
  probe: ProbeView | null;
  curve: Curve;
  speech: Speech;
  nowMs: number;
  /** False where the house is not heard: nothing may look live. */
  live: boolean;
  places: HouseView['places'];
};

/** A chill, and whether a person chose not to take its way out. */
export type ChillSight = Sight<WatchView> & { left: boolean };

/** A keep, and what another probe tells of the air in the same place. */
export type KeepSight = Sight<KeepView> & {
  air: { view: KeepView; probe: ProbeView | null; curve: Curve } | null;
};

/** A pot on its way up, or what is held in it. */
export type PotSight = Sight<HeatView | HoldView>;

export type WatchSight = ChillSight | KeepSight | PotSight;

/** Which ways out were not taken: the id of each watch, and the state in which it was left. */
export type LeftAlone = ReadonlyMap<string, WatchState>;

export type DaySight = {
  nowMs: number;
  speech: Speech;
  probes: ProbeView[];
  /** In the order in which the page shows them. */
  sights: WatchSight[];
};

/** True where a sight is of a keep. */
export function isKeep(sight: WatchSight): sight is KeepSight {
  return sight.watch.view.kind === 'keep';
}

/** True where a sight is of a pot. */
export function isPot(sight: WatchSight): sight is PotSight {
  const { kind } = sight.watch.view;
  return kind === 'heat' || kind === 'hold';
}

/** Reads the day out of the state, at an instant of this machine's clock. */
export function daySight({
  leftAlone = new Map(),
  live,
  localMs,
  state,
}: {
  leftAlone?: LeftAlone;
  live: boolean;
  localMs: number;
  state: HouseState;
}): DaySight {
  const nowMs = localMs + state.offsetMs;
  const speech = speechOf(state);
  const views = [...state.watches.values()].map(({ view }) => view);
  const folded = foldedAirs(views);
  const probeOf = (id: string) => state.probes.get(id)?.view ?? null;
  const curveOf = (id: string) => state.curves.get(id) ?? emptyCurve;
  const shown = views
    .filter((view) => ![...folded.values()].some(({ id }) => id === view.id))
    .map((view) => (isLeft(view, leftAlone) ? withoutWayOut(view) : view));
  const places = state.house?.places ?? [];
  const sights = orderWatches(shown, { nowMs, places, speech }).map((watch): WatchSight => {
    const { view, sentence } = watch;
    const common = {
      probe: probeOf(view.probe),
      curve: curveOf(view.probe),
      speech,
      nowMs,
      live,
      places,
    };
    if (view.kind === 'chill') return { ...common, watch: { view, sentence }, left: isLeft(view, leftAlone) };
    if (view.kind !== 'keep') return { ...common, watch: { view, sentence } };
    const air = folded.get(view.id);
    return {
      ...common,
      watch: { view, sentence },
      air: air === undefined ? null : { view: air, probe: probeOf(air.probe), curve: curveOf(air.probe) },
    };
  });
  return { nowMs, speech, probes: [...state.probes.values()].map(({ view }) => view), sights };
}

/**
 * The calm keeps of air that are shown with a jar's keep of the same place, by the id of the jar's. One that
 * wants something is shown by itself.
 */
function foldedAirs(views: readonly AnyWatchView[]): Map<string, KeepView> {
  const keeps = views.filter((view) => view.kind === 'keep').filter(({ state }) => state !== 'ended');
  const folded = new Map<string, KeepView>();
  for (const air of keeps) {
    if (air.inVessel || air.state !== 'keeping' || air.place === null) continue;
    const jar = keeps.find(({ inVessel, place }) => inVessel && place === air.place);
    if (jar !== undefined && !folded.has(jar.id)) folded.set(jar.id, air);
  }
  return folded;
}

function isLeft(view: AnyWatchView, leftAlone: LeftAlone): boolean {
  return leftAlone.get(view.id) === view.state;
}

/** A watch as it would be without a way out: it says what will happen, and asks for nothing. */
function withoutWayOut<View extends AnyWatchView>(view: View): View {
  return view.forecast === null ? view : { ...view, forecast: { ...view.forecast, rescues: [] } };
}
