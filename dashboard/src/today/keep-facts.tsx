import { isFreezing, keptIn } from '../../../shared/sentences/keep-words.ts';
import { limitText, milkText, type Speech } from '../../../shared/sentences/speech.ts';
import { formatDegrees } from '../../../shared/units/format.ts';
import { shortSpan } from '../chart/keep-scene.ts';
import { Said } from '../words/phrases.tsx';
import { keepLimitC, keptDegrees } from '../words/shown.ts';
import type { KeepSight } from './day-sight.ts';

type Row = { name: string; now: string | null; mostC: number; overMs: number };

/** No day was heard where its warmest is under this, °C. */
const neverC = -200;

/** The small table of a keep: milk and air, now and over the last day. */
export function KeepFacts({ sight }: { sight: KeepSight }) {
  const { air, speech, watch } = sight;
  const { view } = watch;
  const limitC = view.window.highC;
  const rows: Row[] = [
    {
      name: view.inVessel ? keptIn(view.window) : byTheAir(view),
      now: degrees(keptDegrees(view, speech.units)),
      mostC: view.day.milkMostC,
      overMs: view.day.milkOverMs,
    },
  ];
  const around = air?.view ?? (view.inVessel ? null : view);
  if (around !== null && around.latest !== null) {
    rows.push({
      name: 'the air',
      now: degrees(formatDegrees(around.latest.tempC, { units: speech.units })),
      mostC: around.day.probeMostC,
      overMs: around.day.probeOverMs,
    });
  }
  return (
    <table class="facts keep">
      <thead>
        <tr>
          <th scope="col">last 24 hours</th>
          <th scope="col">now</th>
          <th scope="col">at the most</th>
          {limitC !== null && <th scope="col">over {bare(limitText(limitC, speech))}</th>}
        </tr>
      </thead>
      <tbody>
        {rows.map(({ mostC, name, now, overMs }) => (
          <tr key={name}>
            <th scope="row">{name}</th>
            <td>
              <b>{now ?? '–'}</b>
            </td>
            <td>
              <b>{mostC < neverC ? '–' : mostText(mostC, view.window.highC ?? keepLimitC(view), speech)}</b>
            </td>
            {limitC !== null && (
              <td>
                <b>
                  <Said text={overMs === 0 ? 'not seen' : shortSpan(overMs)} />
                </b>
              </td>
            )}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** A fridge is felt as a jar of milk in it would, a freezer as what is in it. */
function byTheAir({ window }: KeepSight['watch']['view']): string {
  return isFreezing(window) ? 'what is in it, by the air' : 'a jar, by the air';
}

function mostText(mostC: number, limitC: number | null, speech: Speech): string {
  return `${bare(milkText(mostC, limitC ?? mostC, speech))}°`;
}

function degrees(figure: string | null): string | null {
  return figure === null ? null : `${figure}°`;
}

/** `40 °F` to `40`, where the head names what it is. */
function bare(text: string): string {
  return text.replace(/\s*°[FC]$/, '');
}
