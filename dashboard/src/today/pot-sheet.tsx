import type { HeatView, HoldView } from '../../../shared/contract/pot-view.ts';
import { overText } from '../../../shared/sentences/pot-sentence.ts';
import { nearText } from '../../../shared/sentences/pot-words.ts';
import { clockText, limitText, minutesText, nameOf, type Speech } from '../../../shared/sentences/speech.ts';
import { formatDegrees, formatTempDiff } from '../../../shared/units/format.ts';
import { Chart } from '../chart/chart.tsx';
import { fullFrame, rowFrame } from '../chart/frames.ts';
import { potScene } from '../chart/pot-scene.ts';
import { Figure } from '../sheet/figure.tsx';
import { Lettered, Said } from '../words/phrases.tsx';
import { intervalText } from '../words/shown.ts';
import type { PotSight } from './day-sight.ts';
import { HeardRate } from './heard-rate.tsx';
import { EndWords } from './watch-words.tsx';

/** What stands under the sentence of a pot: what is to know, its number, its picture, what can be told it. */
export function PotSheet({ sight }: { sight: PotSight }) {
  const { live, speech, watch } = sight;
  const { view } = watch;
  return (
    <>
      <div class="deck">
        <div class="beside">
          <table class="facts">
            <tbody>
              {(view.kind === 'heat' ? heatFacts(view, speech) : holdFacts(view, speech)).map(
                ([name, value, forecast]) => (
                  <tr key={name}>
                    <th scope="row">
                      <Lettered text={name} />
                    </th>
                    <td>
                      <Said forecast={forecast} text={value} />
                    </td>
                  </tr>
                ),
              )}
            </tbody>
          </table>
        </div>
        <PotNumber sight={sight} size="hero" />
      </div>
      <PotChart kind="full" sight={sight} />
      {live && (
        <div class="words">
          <EndWords view={view} />
        </div>
      )}
    </>
  );
}

type Fact = [name: string, value: string, forecast: boolean];

function heatFacts(view: HeatView, speech: Speech): Fact[] {
  const facts: Fact[] = [];
  const { coast, forecast, latest, window } = view;
  if (latest !== null && view.crossedAtMs === null && !window.toBoil)
    facts.push(['still to climb', difference(Math.max(0, window.limitC - latest.tempC), speech), false]);
  const interval =
    forecast === null || view.crossedAtMs !== null ? null : intervalText(forecast.crossing, speech);
  if (interval !== null) facts.push([`at ${limitText(window.limitC, speech)}`, interval, true]);
  if (coast !== null && latest !== null && view.crossedAtMs === null)
    facts.push([
      'climbs on with the heat off',
      difference(Math.max(0, coast.p50 - latest.tempC), speech),
      true,
    ]);
  if (view.level !== null && view.state === 'not-on-course')
    facts.push(['stops near', nearText(view.level.p50, speech), true]);
  facts.push(['milk boils here at', nearText(view.boilsC, speech), false]);
  return facts;
}

function holdFacts(view: HoldView, speech: Speech): Fact[] {
  const { window } = view;
  const facts: Fact[] = [
    [
      `${limitText(window.lowC, speech)} and over, at the probe`,
      `${minutesText(Math.max(view.provedMs, 0))} of ${minutesText(window.holdMs)}`,
      false,
    ],
  ];
  const over = overText(view, speech);
  if (over !== null) facts.push(['at the least', over, false]);
  facts.push(['the probe’s own doubt', `±${difference(view.marginC, speech)}`, false]);
  if (view.airLeastC !== null)
    facts.push(['air over the milk, at the least', nearText(view.airLeastC, speech), false]);
  if (view.proof !== null)
    facts.push([
      'worth at 63 °C (advice, proves nothing)',
      `${view.proof.worth.minutes.toFixed(0)} min`,
      false,
    ]);
  return facts;
}

function difference(diffC: number, { units }: Speech): string {
  return formatTempDiff(diffC, { units });
}

/** The number of a pot; hollow where it was not heard just now. */
export function PotNumber({ sight, size }: { sight: PotSight; size: 'hero' | 'row' }) {
  const { live, speech, watch } = sight;
  const { view } = watch;
  if (view.latest === null) return null;
  const limitC = view.kind === 'heat' ? view.window.limitC : view.window.lowC;
  const heard = live && view.state !== 'silent';
  const degrees = formatDegrees(view.latest.tempC, {
    units: speech.units,
    digits: 1,
    nearLimit: { limitC, side: 'over' },
  });
  return (
    <div class="figures-side">
      <Figure degrees={degrees} heard={heard} size={size} units={speech.units} />
      <HeardRate heard={heard} speech={speech} view={view} />
    </div>
  );
}

/** The picture of a pot, in full or in a row. */
export function PotChart({ kind, sight }: { kind: 'full' | 'row'; sight: PotSight }) {
  const { curve, live, nowMs, probe, speech, watch } = sight;
  return (
    <Chart
      kind={kind}
      label={describePot(watch.view, speech)}
      draw={(size) =>
        potScene(
          { view: watch.view, curve, intervalMs: probe?.intervalMs ?? null, speech, nowMs, live },
          kind === 'row' ? rowFrame(size) : fullFrame(size),
        )
      }
    />
  );
}

/** The sentence that stands for the chart of a pot where it cannot be seen. */
export function describePot(view: HeatView | HoldView, speech: Speech): string {
  const limitC = view.kind === 'heat' ? view.window.limitC : view.window.lowC;
  const now =
    view.latest === null
      ? ''
      : `${nearText(view.latest.tempC, speech)} at ${clockText(view.latest.atMs, speech)}; `;
  const crossing = view.kind === 'heat' ? (view.forecast?.crossing.p50 ?? null) : view.provesAtMs;
  const coming =
    crossing === null
      ? ''
      : `${view.kind === 'heat' ? 'forecast there' : 'proved'} near ${clockText(crossing, speech)}; `;
  return `${nameOf(speech, view.probe)}: ${now}${coming}wanted: ${limitText(limitC, speech)} and over.`;
}
