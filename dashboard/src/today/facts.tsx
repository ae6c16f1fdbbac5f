import type { WatchView } from '../../../shared/contract/api.ts';
import type { Rescue } from '../../../shared/contract/forecast.ts';
import { iceText } from '../../../shared/sentences/rescue-words.ts';
import {
  clockText,
  limitText,
  milkText,
  minutesText,
  type Speech,
} from '../../../shared/sentences/speech.ts';
import { formatTemp, formatTempDiff } from '../../../shared/units/format.ts';
import { Said } from '../words/phrases.tsx';
import { intervalText, windowName } from '../words/shown.ts';
import { wayOut } from '../words/way-out.ts';
import { pathC } from './ahead.ts';

/** The small table beside the number: where the milk is going, or what came of it. */
export function Facts({
  aheadName,
  nowC,
  nowMs,
  speech,
  view,
}: {
  /** The shortest name of the dashed line. */
  aheadName: string;
  /** By its last curve, °C; null where the probe is heard or nothing is known. */
  nowC: number | null;
  nowMs: number;
  speech: Speech;
  view: WatchView;
}) {
  switch (view.state) {
    case 'on-course':
    case 'not-on-course':
    case 'missed':
      return <Ways aheadName={aheadName} nowMs={nowMs} speech={speech} view={view} />;
    case 'made':
    case 'late':
      return <Outcome speech={speech} view={view} />;
    case 'silent':
      return <LastHeard nowC={nowC} speech={speech} view={view} />;
    case 'too-early':
    case 'doubted':
    case 'ended':
      return null;
    default:
      return view.state satisfies never;
  }
}

function Ways({
  aheadName,
  nowMs,
  speech,
  view,
}: {
  aheadName: string;
  nowMs: number;
  speech: Speech;
  view: WatchView;
}) {
  const rescue = wayOut(view, nowMs);
  const { forecast, window } = view;
  const crossing = forecast?.crossing ?? null;
  const then = view.atDeadlineC ?? forecast?.atDeadline?.p50 ?? null;
  return (
    <table class="facts">
      <thead>
        <tr>
          <td />
          <th scope="col">at {clockText(window.deadlineMs, speech)}</th>
          <th scope="col">
            <Said text={`under ${limitText(window.limitC, speech)}`} />
          </th>
        </tr>
      </thead>
      <tbody>
        <tr>
          <th scope="row">
            <Dashes />
            {aheadName}
          </th>
          <td>
            <b>
              <Said
                forecast={view.atDeadlineC === null}
                text={then === null ? '–' : bareDegrees(milkText(then, window.limitC, speech))}
              />
            </b>
          </td>
          <td>
            <b>
              <Said
                forecast
                text={
                  crossing?.p50 ? clockText(crossing.p50, speech) : crossing === null ? '–' : 'not at all'
                }
              />
            </b>{' '}
            <small>
              <i>{crossing === null ? '' : intervalText(crossing, speech)}</i>
            </small>
          </td>
        </tr>
        {rescue !== null && <RescueWay rescue={rescue} speech={speech} view={view} />}
      </tbody>
    </table>
  );
}

/** The second way: what would happen in the ice that is offered. */
function RescueWay({ rescue, speech, view }: { rescue: Rescue; speech: Speech; view: WatchView }) {
  const { deadlineMs, limitC } = view.window;
  const then = view.atDeadlineC === null ? pathC(rescue.path, deadlineMs) : null;
  const { p50 } = rescue.crossing;
  return (
    <tr class="ice">
      <th scope="row">
        <Dots />
        {iceText(rescue)}
      </th>
      <td>
        <b>
          <Said forecast text={then === null ? '–' : bareDegrees(milkText(then, limitC, speech))} />
        </b>
      </td>
      <td>
        <b>
          <Said forecast text={p50 === null ? 'not at all' : clockText(p50, speech)} />
        </b>{' '}
        <small>
          <i>{intervalText(rescue.crossing, speech)}</i>
        </small>
      </td>
    </tr>
  );
}

/** `59 °F` to `59°`, where the head of the table names the unit. */
function bareDegrees(text: string): string {
  return text.replace(/\s*°[FC]$/, '°');
}

function Outcome({ speech, view }: { speech: Speech; view: WatchView }) {
  const { atDeadlineC, crossedAtMs, marginC, window } = view;
  const spareMs = crossedAtMs === null ? 0 : window.deadlineMs - crossedAtMs;
  return (
    <table class="facts list">
      <tbody>
        {spareMs > 0 && (
          <Fact name={`left of its ${windowName(window.spanMs)}`} figure={minutesText(spareMs)} />
        )}
        {spareMs <= 0 && atDeadlineC !== null && (
          <Fact
            name={`at ${clockText(window.deadlineMs, speech)}, when its time was up`}
            figure={milkText(atDeadlineC, window.limitC, speech)}
          />
        )}
        {marginC > 0 && (
          <Fact
            name="the probe’s own doubt"
            figure={`±${formatTempDiff(marginC, { units: speech.units })}`}
          />
        )}
      </tbody>
    </table>
  );
}

function LastHeard({ nowC, speech, view }: { nowC: number | null; speech: Speech; view: WatchView }) {
  const { latest, window } = view;
  const then = view.forecast?.atDeadline?.p50 ?? null;
  return (
    <table class="facts list">
      <tbody>
        {latest !== null && (
          <Fact
            name={`last heard, ${clockText(latest.atMs, speech)}`}
            figure={formatTemp(latest.tempC, { units: speech.units })}
          />
        )}
        {nowC !== null && (
          <Fact name="now, by its last curve" forecast figure={milkText(nowC, window.limitC, speech)} />
        )}
        {then !== null && (
          <Fact
            name={`at ${clockText(window.deadlineMs, speech)}, by the same`}
            forecast
            figure={milkText(then, window.limitC, speech)}
          />
        )}
      </tbody>
    </table>
  );
}

function Fact({ figure, forecast = false, name }: { figure: string; forecast?: boolean; name: string }) {
  return (
    <tr>
      <th scope="row">
        <Said text={name} />
      </th>
      <td>
        <b>
          <Said forecast={forecast} text={figure} />
        </b>
      </td>
    </tr>
  );
}

function Dots() {
  return (
    <svg class="sample" width="34" height="10" viewBox="0 0 34 10" aria-hidden="true">
      <path
        d="M3 5H33"
        stroke="currentColor"
        stroke-width="4"
        stroke-linecap="round"
        stroke-dasharray="0.01 7"
      />
    </svg>
  );
}

function Dashes() {
  return (
    <svg class="sample" width="34" height="10" viewBox="0 0 34 10" aria-hidden="true">
      <path d="M1 5H33" stroke="currentColor" stroke-width="3" stroke-dasharray="9 5" />
    </svg>
  );
}
