import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { clockText, nameOf } from '../../../shared/sentences/speech.ts';
import { Chart } from '../chart/chart.tsx';
import { chillScene } from '../chart/chill-scene.ts';
import { describeChill } from '../chart/describe.ts';
import { rowFrame } from '../chart/frames.ts';
import { Figure } from '../sheet/figure.tsx';
import { Mark } from '../sheet/marks.tsx';
import { Sentence } from '../words/phrases.tsx';
import { byProbe, placeText, watchedDegrees } from '../words/shown.ts';
import { type ChillSight, isKeep, isPot, type WatchSight } from './day-sight.ts';
import { WatchSheet } from './first-watch.tsx';
import { KeepChart, KeepNumber } from './keep-sheet.tsx';
import { PotChart, PotNumber } from './pot-sheet.tsx';

/** A further watch: mark and words, a small picture, the number; its name opens all the rest under it. */
export function WatchRow({ onLeave, sight }: { onLeave: (left: boolean) => void; sight: WatchSight }) {
  const [open, setOpen] = useState(false);
  const { sentence, view } = sight.watch;
  // That no hand is wanted is plain in a row without a plate.
  const say = view.state === 'keeping' ? [] : sentence.say;
  return (
    <article class={open ? 'watch-row opened' : 'watch-row'}>
      <div class="said">
        <Mark name={view.state} />
        <h2>
          <button type="button" class="opener" aria-expanded={open} onClick={() => setOpen(!open)}>
            <Named sight={sight} />
          </button>
        </h2>
        <p>
          <b>{sentence.word}.</b> <Sentence phrases={say} /> <Sentence phrases={sentence.or} />
        </p>
      </div>
      {open ? (
        <WatchSheet chief={false} onLeave={onLeave} sight={sight} />
      ) : isKeep(sight) ? (
        <>
          <KeepChart kind="row" sight={sight} />
          <KeepNumber sight={sight} size="row" />
        </>
      ) : (
        <ChillRest sight={sight} />
      )}
    </article>
  );
}

function Named({ sight }: { sight: WatchSight }): ComponentChildren {
  const { probe, speech, watch } = sight;
  if (isKeep(sight)) {
    const { by, name } = byProbe(sight.watch.view, sight);
    return (
      <>
        <b>{name}</b> <span>{by}</span>
      </>
    );
  }
  return (
    <>
      <b>{nameOf(speech, watch.view.probe)}</b> <span>{probe === null ? null : placeText(probe.place)}</span>
    </>
  );
}

function ChillRest({ sight }: { sight: WatchSight }) {
  if (isKeep(sight)) return null;
  if (isPot(sight)) {
    return (
      <>
        <PotChart kind="row" sight={sight} />
        <PotNumber sight={sight} size="row" />
      </>
    );
  }
  const { curve, live, nowMs, probe, speech, watch }: ChillSight = sight;
  const { view } = watch;
  const heard = live && view.state !== 'silent';
  return (
    <>
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
    </>
  );
}
