import { rescueWantsSaid } from '../../../shared/sentences/rescue-words.ts';
import { Chart } from '../chart/chart.tsx';
import { chillScene } from '../chart/chill-scene.ts';
import { describeChill } from '../chart/describe.ts';
import { fullFrame } from '../chart/frames.ts';
import { Figure } from '../sheet/figure.tsx';
import { Lettered } from '../words/phrases.tsx';
import { watchedDegrees } from '../words/shown.ts';
import { wayOut } from '../words/way-out.ts';
import { aheadNames, curveNowC } from './ahead.ts';
import type { ChillSight } from './day-sight.ts';
import { Facts } from './facts.tsx';
import { HeardRate } from './heard-rate.tsx';
import { OtherWays } from './other-ways.tsx';
import { RescueWords, WatchWords } from './watch-words.tsx';

/** What stands under the sentence of a chill: its ways, its number, its picture, cautions, what can be told it. */
export function ChillSheet({
  chief,
  onLeave,
  sight,
}: {
  chief: boolean;
  onLeave: (left: boolean) => void;
  sight: ChillSight;
}) {
  const { curve, left, live, nowMs, probe, speech, watch } = sight;
  const { sentence, view } = watch;
  const heard = live && view.state !== 'silent';
  const names = aheadNames(view, probe);
  const rescue = wayOut(view, nowMs);
  const wants = rescue === null ? '' : rescueWantsSaid(rescue);
  const notes = wants === '' ? sentence.notes : [wants, ...sentence.notes];
  // A way out has the room beside the number: the picture must stand on the first sight.
  const words = live && <WatchWords nowMs={nowMs} speech={speech} view={view} />;
  return (
    <>
      <div class="deck">
        <div class="beside">
          <Facts
            aheadName={names.at(-1) ?? ''}
            nowMs={nowMs}
            nowC={view.state === 'silent' ? curveNowC(view, nowMs) : null}
            speech={speech}
            view={view}
          />
          {live && rescue !== null && (
            <RescueWords first={chief} onLeave={onLeave} rescue={rescue} sight={sight} />
          )}
          {live && left && (
            <div class="acts">
              <button type="button" class="plain" onClick={() => onLeave(false)}>
                Show the way out again
              </button>
            </div>
          )}
          {rescue === null && words}
        </div>
        {view.latest !== null && (
          <div class="figures-side">
            <Figure
              degrees={watchedDegrees(view.latest.tempC, {
                limitC: view.window.limitC,
                marginC: view.marginC,
                units: speech.units,
              })}
              heard={heard}
              size="hero"
              units={speech.units}
            />
            <HeardRate heard={heard} speech={speech} view={view} />
          </div>
        )}
      </div>
      {live && notes.length > 0 && (
        <p class="note cautions">
          <Lettered text={notes.join(' ')} />
        </p>
      )}
      <Chart
        kind="full"
        label={describeChill(view, curve, speech)}
        draw={(size) =>
          chillScene(
            { view, curve, intervalMs: probe?.intervalMs ?? null, speech, nowMs, live, aheadNames: names },
            fullFrame(size),
          )
        }
      />
      {live && rescue !== null && <OtherWays sight={sight} />}
      {rescue !== null && words}
    </>
  );
}
