import type { WatchView } from '../../../shared/contract/api.ts';
import type { Rescue } from '../../../shared/contract/forecast.ts';
import { rescuePlace } from '../../../shared/dairy/rescue-place.ts';
import { capital } from '../../../shared/sentences/capital.ts';
import {
  rescueCautions,
  rescueChance,
  rescueName,
  rescueWantsSaid,
} from '../../../shared/sentences/rescue-words.ts';
import { clockText, limitText, type Speech } from '../../../shared/sentences/speech.ts';
import { Lettered, Said } from '../words/phrases.tsx';
import { intervalText } from '../words/shown.ts';
import { otherWays, wayOut } from '../words/way-out.ts';
import type { ChillSight } from './day-sight.ts';
import { TakenWord } from './watch-words.tsx';

/** The ways out beside the one that the plate asks for, quickest first, each with what a person says who took it. */
export function OtherWays({ sight }: { sight: ChillSight }) {
  const { nowMs, probe, speech, watch } = sight;
  const { view } = watch;
  const others = otherWays(view, nowMs);
  if (others.length === 0) return null;
  return (
    <section class="other-ways">
      <h2>
        Other ways out{' '}
        <small>
          <i>slanted: forecast</i>
        </small>
      </h2>
      <table>
        <thead>
          <tr>
            <td />
            <th scope="col">latest</th>
            <th scope="col">
              <Said text={`under ${limitText(view.window.limitC, speech)}`} />
            </th>
            <td />
          </tr>
        </thead>
        <tbody>
          {others.map((rescue) => (
            <OtherWay
              key={rescue.kind}
              minded={wayOut(view, nowMs)?.cautions ?? []}
              rescue={rescue}
              speech={speech}
              there={probe?.place?.kind === rescuePlace(rescue.kind)}
              view={view}
            />
          ))}
        </tbody>
      </table>
    </section>
  );
}

function OtherWay({
  minded,
  rescue,
  speech,
  there,
  view,
}: {
  /** Cautions that are said already. */
  minded: readonly string[];
  rescue: Rescue;
  speech: Speech;
  there: boolean;
  view: WatchView;
}) {
  const { cautions, crossing, kind, lastUsefulAtMs } = rescue;
  // What the plate's own way has to be minded of stands above.
  const more = cautions.filter((code) => !minded.includes(code));
  const notes = [rescueWantsSaid(rescue), ...rescueCautions(more)].filter((note) => note !== '');
  return (
    <tr>
      <th scope="row">
        <b>{capital(rescueName(kind))}</b>
        <small>
          <Lettered text={notes.join(' ')} />
        </small>
      </th>
      <td class={lastUsefulAtMs === null ? 'by none' : 'by'}>
        {lastUsefulAtMs === null ? '–' : clockText(lastUsefulAtMs, speech)}
      </td>
      <td class="under" data-head={`under ${limitText(view.window.limitC, speech)}`}>
        <b>
          <Said forecast text={crossing.p50 === null ? 'not at all' : clockText(crossing.p50, speech)} />
        </b>
        <small>
          <i>{intervalText(crossing, speech)}</i>
        </small>
        <small>
          <Said forecast text={rescueChance(rescue)} />
        </small>
      </td>
      <td class="took">
        <TakenWord probe={view.probe} rescue={rescue} there={there} />
      </td>
    </tr>
  );
}
