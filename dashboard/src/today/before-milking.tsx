import { useEffect, useState } from 'preact/hooks';
import type { HouseView, ProbeView } from '../../../shared/contract/api.ts';
import type { Material } from '../../../shared/contract/ids.ts';
import type { PlanView } from '../../../shared/contract/plan.ts';
import {
  planCall,
  planCautions,
  planPlace,
  planSource,
  planSpan,
} from '../../../shared/sentences/plan-words.ts';
import { limitText, type Speech } from '../../../shared/sentences/speech.ts';
import { formatVolume } from '../../../shared/units/format.ts';
import { askJson } from '../feed/ask.ts';
import { Lettered, Said } from '../words/phrases.tsx';

/** How much milk may go into one vessel, as offered beside the house's own vessels, litres. */
const volumesL = [0.5, 1, 2, 4, 8];

type Milk = { volumeL: number; material: Material | null };

/** Before milking: where this milk would make the rule, and in how many minutes, asked of the house. */
export function BeforeMilking({
  places,
  probes,
  speech,
}: {
  places: HouseView['places'];
  probes: readonly ProbeView[];
  speech: Speech;
}) {
  const [asking, setAsking] = useState(false);
  const [milk, setMilk] = useState<Milk | null>(null);
  const { plan, lost } = usePlan(asking ? milk : null);
  const vessels = vesselsOf(probes);
  return (
    <section class="acts before-milking">
      <button
        type="button"
        class="plain"
        aria-expanded={asking}
        onClick={() => {
          setAsking(!asking);
          setMilk(asking ? null : (vessels[0]?.milk ?? null));
        }}
      >
        Plan the next milk
      </button>
      {asking && (
        <fieldset class="choices">
          <legend>How much milk goes into one vessel?</legend>
          {[...vessels, ...anyVessels(vessels)].map(({ milk: one, name }) => (
            <button
              key={name}
              type="button"
              class={isSame(one, milk) ? 'plain chosen' : 'plain'}
              aria-pressed={isSame(one, milk)}
              onClick={() => setMilk(one)}
            >
              {name}
            </button>
          ))}
        </fieldset>
      )}
      {asking && lost && <p class="note">No word from the house about it. Ask again in a moment.</p>}
      {asking && plan !== null && <Ways plan={plan} places={places} speech={speech} />}
    </section>
  );
}

/** The ways of a plan as a table, the likeliest first, with what to mind. */
function Ways({ places, plan, speech }: { places: HouseView['places']; plan: PlanView; speech: Speech }) {
  const { asked, ways } = plan;
  if (ways.length === 0) return <p class="note">The house file names no place for it.</p>;
  return (
    <>
      <h2>
        <span>
          <Said text={`Under ${limitText(asked.limitC, speech)} within ${asked.spanMin} min`} />
        </span>{' '}
        <small>
          <i>slanted: forecast</i>
        </small>
      </h2>
      <table class="plan">
        <tbody>
          {ways.map((way) => (
            <tr key={`${way.place} ${way.stirred}`}>
              <th scope="row">
                <b>{planPlace(way, places)}</b>
                <small>{planSource(way)}</small>
              </th>
              <td>
                <i>{planSpan(way)}</i>
                <small>
                  <i>{planCall(way, way === ways[0])}</i>
                </small>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <p class="note">
        <Lettered text={planCautions(ways, places).join(' ')} />
      </p>
    </>
  );
}

/** The house's plan of this milk; null until it has answered, and while nothing is asked. */
function usePlan(milk: Milk | null): { plan: PlanView | null; lost: boolean } {
  const [answer, setAnswer] = useState<{ plan: PlanView | null; lost: boolean }>({ plan: null, lost: false });
  const { material = null, volumeL = null } = milk ?? {};
  useEffect(() => {
    let wanted = true;
    setAnswer({ plan: null, lost: false });
    if (volumeL === null) return;
    const query = new URLSearchParams({ volume: String(volumeL) });
    if (material !== null) query.set('material', material);
    askJson<PlanView>(`api/plan?${query}`).then(
      (plan) => wanted && setAnswer({ plan, lost: false }),
      () => wanted && setAnswer({ plan: null, lost: true }),
    );
    return () => {
      wanted = false;
    };
  }, [material, volumeL]);
  return answer;
}

type Vessel = { name: string; milk: Milk };

/** The house's own vessels, each once, as its probes stand in them. */
function vesselsOf(probes: readonly ProbeView[]): Vessel[] {
  const vessels = new Map<string, Vessel>();
  for (const { place, vessel } of probes) {
    if (vessel === null || vessel.volumeL === null || place?.kind === 'pot') continue;
    const { material, name, volumeL } = vessel;
    vessels.set(name, { name: `${name}, ${formatVolume(volumeL)}`, milk: { volumeL, material } });
  }
  return [...vessels.values()];
}

/** Amounts that no vessel of the house has. */
function anyVessels(own: readonly Vessel[]): Vessel[] {
  return volumesL
    .filter((volumeL) => !own.some(({ milk }) => milk.volumeL === volumeL))
    .map((volumeL) => ({ name: formatVolume(volumeL), milk: { volumeL, material: null } }));
}

function isSame(one: Milk, other: Milk | null): boolean {
  return one.volumeL === other?.volumeL && one.material === other.material;
}
