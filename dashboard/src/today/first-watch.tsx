import { clockText, nameOf } from '../../../shared/sentences/speech.ts';
import { formatVolume } from '../../../shared/units/format.ts';
import { Chart } from '../chart/chart.tsx';
import { chillScene } from '../chart/chill-scene.ts';
import { describeChill } from '../chart/describe.ts';
import { fullFrame } from '../chart/frames.ts';
import { Figure } from '../sheet/figure.tsx';
import { Statement } from '../sheet/statement.tsx';
import { Lettered, Sentence } from '../words/phrases.tsx';
import { placeText, rateText, watchedDegrees } from '../words/shown.ts';
import { aheadNames, curveNowC } from './ahead.ts';
import type { WatchSight } from './day-sight.ts';
import { Facts } from './facts.tsx';
import { RescueWords, WatchWords } from './watch-words.tsx';

/** The watch that the page puts first: subject, sentence, number, picture. */
export function FirstWatch(sight: WatchSight) {
  const { curve, live, nowMs, probe, speech, watch } = sight;
  const { sentence, view } = watch;
  const heard = live && view.state !== 'silent';
  const names = aheadNames(view, probe);
  // Where a way out is offered, it has the room beside the number: the picture must stand on the first sight.
  const offered = (view.forecast?.rescues.length ?? 0) > 0;
  return (
    <article class="first-watch">
      <Subject {...sight} />
      {live ? (
        <Statement mark={view.state} sentence={sentence} />
      ) : (
        <p class="as-heard">
          <b>{sentence.word}.</b> <Sentence phrases={sentence.say} /> <Sentence phrases={sentence.or} />
        </p>
      )}
      <div class="deck">
        <div class="beside">
          <Facts
            aheadName={names.at(-1) ?? ''}
            nowMs={nowMs}
            nowC={view.state === 'silent' ? curveNowC(view, nowMs) : null}
            speech={speech}
            view={view}
          />
          {live && offered && <RescueWords iceTub={sight.iceTub} view={view} />}
          {live && !offered && <WatchWords nowMs={nowMs} speech={speech} view={view} />}
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
            <p class="rate">
              <Lettered
                text={
                  heard
                    ? (rateText(view.rateCPerMin, speech.units) ?? '')
                    : `last heard ${clockText(view.latest.atMs, speech)}`
                }
              />
            </p>
          </div>
        )}
      </div>
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
      {live && sentence.notes.length > 0 && <p class="note cautions">{sentence.notes.join(' ')}</p>}
      {live && offered && <WatchWords nowMs={nowMs} speech={speech} view={view} />}
    </article>
  );
}

function Subject({ probe, speech, watch: { view } }: WatchSight) {
  const vessel = probe?.vessel ?? null;
  const place = probe === null ? null : placeText(probe.place);
  const holds = [vessel?.name, vessel?.volumeL ? formatVolume(vessel.volumeL) : null].filter(Boolean);
  return (
    <h2 class="subject">
      <b>{nameOf(speech, view.probe)}</b> {holds.length > 0 && <span>{holds.join(', ')}</span>}{' '}
      <span class="soft">
        {place ?? 'on watch'} since {clockText(view.sinceMs, speech)}
      </span>
    </h2>
  );
}
