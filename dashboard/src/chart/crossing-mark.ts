/** Where a curve meets its limit, as a picture marks it: where it did, or where it is going to. */
import type { Forecast } from '../../../shared/contract/forecast.ts';
import { clockText, type Speech } from '../../../shared/sentences/speech.ts';
import type { Crossing } from './scene.ts';

/** The crossing of a view: where it happened, else where its forecast has it; null where it never comes. */
export function crossingMark(
  view: { crossedAtMs: number | null; forecast: Pick<Forecast, 'crossing'> | null },
  speech: Speech,
): Crossing | null {
  if (view.crossedAtMs !== null) {
    return { kind: 'happened', atMs: view.crossedAtMs, text: clockText(view.crossedAtMs, speech) };
  }
  const crossing = view.forecast?.crossing;
  if (crossing === undefined || crossing.p50 === null) return null;
  return {
    kind: 'forecast',
    atMs: crossing.p50,
    lowMs: crossing.p10,
    highMs: crossing.p90,
    text: clockText(crossing.p50, speech),
  };
}
