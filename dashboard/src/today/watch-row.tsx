import { clockText, nameOf } from '../../../shared/sentences/speech.ts';
import { Chart } from '../chart/chart.tsx';
import { chillScene } from '../chart/chill-scene.ts';
import { describeChill } from '../chart/describe.ts';
import { rowFrame } from '../chart/frames.ts';
import { Figure } from '../sheet/figure.tsx';
import { Mark } from '../sheet/marks.tsx';
import { Sentence } from '../words/phrases.tsx';
import { placeText, watchedDegrees } from '../words/shown.ts';
import type { WatchSight } from './day-sight.ts';

/** A further watch: mark and words, a small picture, the number. */
export function WatchRow({ curve, live, nowMs, probe, speech, watch }: WatchSight) {
  const { sentence, view } = watch;
  const heard = live && view.state !== 'silent';
  const place = probe === null ? null : placeText(probe.place);
  return (
    <article class="watch-row">
      <div class="said">
        <Mark name={view.state} />
        <h2>
          <b>{nameOf(speech, view.probe)}</b> <span>{place}</span>
        </h2>
        <p>
          <b>{sentence.word}.</b> <Sentence phrases={sentence.say} /> <Sentence phrases={sentence.or} />
        </p>
      </div>
      <Chart
        kind="row"
        label={describeChill(view, curve, speech)}
        draw={(size) =>
          chillScene(
            { view, curve, intervalMs: probe?.intervalMs ?? null, speech, nowMs, live, aheadNames: [] },
            rowFrame(size),
          )
        }
      />
      {view.latest !== null && (
        <div class="figures-side">
          <Figure
            degrees={watchedDegrees(view.latest.tempC, {
              limitC: view.window.limitC,
              marginC: view.marginC,
              units: speech.units,
            })}
            heard={heard}
            size="row"
            units={speech.units}
          />
          {!heard && <p class="rate">last heard {clockText(view.latest.atMs, speech)}</p>}
        </div>
      )}
    </article>
  );
}
