import { clockText, limitText, nameOf } from '../../../shared/sentences/speech.ts';
import { emptySentence } from '../../../shared/sentences/watch-sentence.ts';
import { chillScene } from '../chart/chill-scene.ts';
import { describeChill, describeKeep } from '../chart/describe.ts';
import { fullFrame } from '../chart/frames.ts';
import { keepScene } from '../chart/keep-scene.ts';
import { potScene } from '../chart/pot-scene.ts';
import { type HouseState, isLost } from '../feed/house-state.ts';
import { Figure } from '../sheet/figure.tsx';
import { Masthead } from '../sheet/masthead.tsx';
import { Statement } from '../sheet/statement.tsx';
import {
  type ChillSight,
  daySight,
  isKeep,
  isPot,
  type KeepSight,
  type PotSight,
  type WatchSight,
} from '../today/day-sight.ts';
import { KeepNumber } from '../today/keep-sheet.tsx';
import { describePot, PotNumber } from '../today/pot-sheet.tsx';
import { Opening } from '../today/today.tsx';
import { lostSentence } from '../words/lost-sentence.ts';
import { Lettered } from '../words/phrases.tsx';
import { byProbe, intervalText, keepLimitC, placeText, usualWindow, watchedDegrees } from '../words/shown.ts';
import { Strip } from './strip.tsx';

/** The page for a screen across the kitchen: one watch, no buttons, the border strip in place of the chart. */
export function FarView({ localMs, state }: { localMs: number; state: HouseState }) {
  const { house } = state;
  const live = !isLost(state, localMs);
  if (house === null) return <Opening live={live} />;
  const { nowMs, sights, speech } = daySight({ live, localMs, state });
  const [first] = sights;
  return (
    <>
      <Masthead house={house} nowMs={nowMs} />
      <main>
        {!live && (
          <Statement mark="house-lost" sentence={lostSentence(state.heardMs + state.offsetMs, speech)} />
        )}
        {live && first === undefined && (
          <Statement mark="nothing" sentence={emptySentence(usualWindow.spanMs)} />
        )}
        {first !== undefined && <Far sight={first} />}
      </main>
    </>
  );
}

function Far({ sight }: { sight: WatchSight }) {
  if (isKeep(sight)) return <FarKeep {...sight} />;
  return isPot(sight) ? <FarPot {...sight} /> : <FarChill {...sight} />;
}

/** A pot across the kitchen: its number, and its minutes in the strip. */
function FarPot(sight: PotSight) {
  const { curve, live, nowMs, probe, speech, watch } = sight;
  const { sentence, view } = watch;
  const word = `${nameOf(speech, view.probe)}: ${lowered(sentence.word)}`;
  const scene = potScene(
    { view, curve, intervalMs: probe?.intervalMs ?? null, speech, nowMs, live },
    fullFrame({ width: 1184, height: 300 }),
  );
  return (
    <>
      {live && <Statement mark={view.state} sentence={{ ...sentence, word }} />}
      <div class="deck">
        <PotNumber sight={sight} size="hero" />
      </div>
      <Strip label={describePot(view, speech)} scene={scene} />
    </>
  );
}

function FarChill(sight: ChillSight) {
  const { curve, live, nowMs, probe, speech, watch } = sight;
  const { sentence, view } = watch;
  const place = probe === null ? null : placeText(probe.place);
  const word = `${nameOf(speech, view.probe)}${place === null ? '' : `, ${place}`}: ${lowered(sentence.word)}`;
  const scene = chillScene(
    { view, curve, intervalMs: probe?.intervalMs ?? null, speech, nowMs, live, aheadNames: [] },
    fullFrame({ width: 1184, height: 300 }),
  );
  return (
    <>
      {live && <Statement mark={view.state} sentence={{ ...sentence, word }} />}
      <div class="deck">
        {view.latest !== null && (
          <Figure
            degrees={watchedDegrees(view.latest.tempC, {
              limitC: view.window.limitC,
              marginC: view.marginC,
              units: speech.units,
            })}
            heard={live && view.state !== 'silent'}
            size="hero"
            units={speech.units}
          />
        )}
        <Coming {...sight} />
      </div>
      <Strip label={describeChill(view, curve, speech)} scene={scene} />
    </>
  );
}

/** A cold place across the kitchen: its hours in the strip, and when its milk leaves, if it does. */
function FarKeep(sight: KeepSight) {
  const { air, curve, live, nowMs, probe, speech, watch } = sight;
  const { sentence, view } = watch;
  const word = `${byProbe(view, sight).name}: ${lowered(sentence.word)}`;
  const scene = keepScene(
    {
      view,
      curve,
      intervalMs: probe?.intervalMs ?? null,
      air: air && { curve: air.curve, intervalMs: air.probe?.intervalMs ?? null },
      speech,
      nowMs,
      live,
    },
    fullFrame({ width: 1184, height: 300 }),
  );
  return (
    <>
      {live && <Statement mark={view.state} sentence={{ ...sentence, word }} />}
      <div class="deck">
        <KeepNumber sight={sight} size="hero" />
        <KeepComing {...sight} />
      </div>
      <Strip label={describeKeep(view, speech)} scene={scene} />
    </>
  );
}

/** When its milk leaves, with the interval; else since when it was not heard, or whose the number is. */
function KeepComing({ live, speech, watch: { view } }: KeepSight) {
  if (view.latest !== null && (!live || view.state === 'silent'))
    return <LastHeard at={clockText(view.latest.atMs, speech)} />;
  const crossing = view.state === 'leaving' ? view.forecast?.crossing : undefined;
  const limitC = keepLimitC(view);
  if (limitC === null || crossing === undefined || crossing.p50 === null)
    return <p class="coming">{view.inVessel ? 'in the jar, not the air' : 'a jar in it, by the air'}</p>;
  return (
    <p class="coming">
      <b>
        <i>{clockText(crossing.p50, speech)}</i>
      </b>
      <span>
        <Lettered text={`milk at ${limitText(limitC, speech)}, as it is going`} />
      </span>
      <i>{intervalText(crossing, speech)}</i>
    </p>
  );
}

function LastHeard({ at }: { at: string }) {
  return (
    <p class="coming">
      <b>{at}</b>
      last heard
    </p>
  );
}

/** The one time that matters beside the number, with its interval; or since when nothing was heard. */
function Coming({ live, speech, watch: { view } }: ChillSight) {
  const limit = limitText(view.window.limitC, speech);
  if (view.latest !== null && (!live || view.state === 'silent')) {
    return <LastHeard at={clockText(view.latest.atMs, speech)} />;
  }
  const crossing = view.forecast?.crossing;
  if (view.crossedAtMs !== null || crossing === undefined || crossing.p50 === null) return null;
  return (
    <p class="coming">
      <b>
        <i>{clockText(crossing.p50, speech)}</i>
      </b>
      <span>
        <Lettered text={`under ${limit}, left as it is`} />
      </span>
      <i>{intervalText(crossing, speech)}</i>
    </p>
  );
}

function lowered(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1);
}
