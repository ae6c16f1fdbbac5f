import type { KeepView } from '../../../shared/contract/keep-view.ts';
import { keptIn } from '../../../shared/sentences/keep-words.ts';
import { clockText, limitText, type Speech } from '../../../shared/sentences/speech.ts';
import { Chart } from '../chart/chart.tsx';
import { describeKeep } from '../chart/describe.ts';
import { fullFrame } from '../chart/frames.ts';
import { keepScene } from '../chart/keep-scene.ts';
import { Figure } from '../sheet/figure.tsx';
import { Said, Sentence } from '../words/phrases.tsx';
import { intervalText, keepLimitC, keptDegrees } from '../words/shown.ts';
import type { KeepSight } from './day-sight.ts';
import { KeepFacts } from './keep-facts.tsx';
import { EndWords } from './watch-words.tsx';

/** What stands under the sentence of a keep: what was, its number, its picture, and what a power cut would do. */
export function KeepSheet({ sight }: { sight: KeepSight }) {
  const { live, speech, watch } = sight;
  const { sentence, view } = watch;
  return (
    <>
      <div class="deck">
        <div class="beside">
          <KeepFacts sight={sight} />
        </div>
        <KeepNumber sight={sight} size="hero" />
      </div>
      {live && sentence.notes.length > 0 && <p class="note cautions">{sentence.notes.join(' ')}</p>}
      <KeepChart kind="full" sight={sight} />
      <PowerNote speech={speech} view={view} />
      {live && (
        <div class="words">
          <EndWords view={view} />
        </div>
      )}
    </>
  );
}

/** The number of a keep and whose it is; hollow where it was not heard just now. */
export function KeepNumber({ sight, size }: { sight: KeepSight; size: 'hero' | 'row' }) {
  const { live, speech, watch } = sight;
  const { view } = watch;
  const degrees = keptDegrees(view, speech.units);
  if (degrees === null || view.latest === null) return null;
  const heard = live && view.state !== 'silent';
  const whose = view.inVessel ? 'in the jar, not the air' : 'a jar in it, by the air';
  return (
    <div class="figures-side">
      <Figure degrees={degrees} heard={heard} size={size} units={speech.units} />
      <p class="rate">{heard ? whose : `last heard ${clockText(view.latest.atMs, speech)}`}</p>
    </div>
  );
}

/** The picture of a keep, in full or in a row. */
export function KeepChart({ kind, sight }: { kind: 'full' | 'row'; sight: KeepSight }) {
  const { air, curve, live, nowMs, probe, speech, watch } = sight;
  return (
    <Chart
      kind={kind}
      label={describeKeep(watch.view, speech)}
      draw={({ height, width }) =>
        keepScene(
          {
            view: watch.view,
            curve,
            intervalMs: probe?.intervalMs ?? null,
            air: air && { curve: air.curve, intervalMs: air.probe?.intervalMs ?? null },
            speech,
            nowMs,
            live,
          },
          {
            ...fullFrame({ height, width }),
            ...(kind === 'row' ? { left: 42, top: 12, bottom: 36, row: true } : {}),
          },
        )
      }
    />
  );
}

/** `Runs 23 % of the time. If the power went now, the milk would reach 40 °F near 9:31, …` */
function PowerNote({ speech, view }: { speech: Speech; view: KeepView }) {
  const { dayShare, weekAgoShare } = view.duty;
  const limitC = keepLimitC(view);
  const crossing = view.ifPowerWent?.crossing ?? null;
  const ran =
    dayShare === null ? '' : `Runs ${percent(dayShare)} of the time${weekText(dayShare, weekAgoShare)}. `;
  if (limitC === null || crossing === null) return ran === '' ? null : <p class="note power">{ran}</p>;
  const limit = limitText(limitC, speech);
  if (crossing.p50 === null) {
    return (
      <p class="note power">
        {ran}
        <Said
          text={`If the power went now, ${keptIn(view.window)} would stay under ${limit} for a day with the door kept shut.`}
        />
      </p>
    );
  }
  return (
    <p class="note power">
      {ran}
      <Sentence
        phrases={[
          {
            text: `If the power went now, ${keptIn(view.window)} would reach ${limit} near `,
            forecast: false,
          },
          { text: clockText(crossing.p50, speech), forecast: true },
          { text: ', ', forecast: false },
          { text: intervalText(crossing, speech) ?? '', forecast: true },
          { text: ', with the door kept shut.', forecast: false },
        ]}
      />
    </p>
  );
}

function weekText(dayShare: number, weekAgoShare: number | null): string {
  if (weekAgoShare === null) return '';
  return Math.abs(dayShare - weekAgoShare) < 0.03
    ? ', as a week ago'
    : `, ${percent(weekAgoShare)} a week ago`;
}

function percent(share: number): string {
  return `${Math.round(share * 100)}\u00a0%`;
}
