/** What the state of the house comes to on a page: the watches in their order, each with all that is drawn of it. */

import type { ProbeView } from '../../../shared/contract/api.ts';
import type { Speech } from '../../../shared/sentences/speech.ts';
import { type Curve, emptyCurve } from '../feed/curve.ts';
import { type HouseState, speechOf } from '../feed/house-state.ts';
import { orderWatches, type ShownWatch } from './order.ts';

export type WatchSight = {
  watch: ShownWatch;
  probe: ProbeView | null;
  curve: Curve;
  speech: Speech;
  nowMs: number;
  /** False where the house is not heard: nothing may look live. */
  live: boolean;
  /** The id of a place of ice into which this jar could go; null where the house has none. */
  iceTub: string | null;
};

export type DaySight = {
  nowMs: number;
  speech: Speech;
  probes: ProbeView[];
  /** In the order in which the page shows them. */
  sights: WatchSight[];
};

/** Reads the day out of the state, at an instant of this machine's clock. */
export function daySight({
  live,
  localMs,
  state,
}: {
  live: boolean;
  localMs: number;
  state: HouseState;
}): DaySight {
  const nowMs = localMs + state.offsetMs;
  const speech = speechOf(state);
  const views = [...state.watches.values()].map(({ view }) => view);
  const tub = state.house?.places.find(({ kind }) => kind === 'ice-bath')?.id ?? null;
  const probeOf = (id: string) => state.probes.get(id)?.view ?? null;
  const sights = orderWatches(views, { nowMs, speech }).map((watch) => ({
    watch,
    probe: probeOf(watch.view.probe),
    curve: state.curves.get(watch.view.probe) ?? emptyCurve,
    speech,
    nowMs,
    live,
    iceTub: probeOf(watch.view.probe)?.place?.kind === 'ice-bath' ? null : tub,
  }));
  return { nowMs, speech, probes: [...state.probes.values()].map(({ view }) => view), sights };
}
