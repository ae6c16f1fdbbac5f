import { useState } from 'preact/hooks';
import type { HouseView, ProbeView } from '../../../shared/contract/api.ts';
import type { PlaceKind } from '../../../shared/contract/ids.ts';
import type { Word } from '../../../shared/contract/word.ts';
import { clockText, type Speech } from '../../../shared/sentences/speech.ts';
import { formatTemp, formatVolume } from '../../../shared/units/format.ts';
import { WordButton } from '../sheet/word-button.tsx';
import { BeginPot } from './begin-pot.tsx';

const minuteMs = 60_000;

/** How long ago milk may have gone in, as offered, minutes. */
const wentInBefore = [5, 10, 15, 20, 30, 45];

/** How much milk a vessel may hold, as offered, litres. */
const volumesL = [0.5, 1, 2, 4, 8];

/** Where milk is put to get cold. */
const coldKinds: readonly PlaceKind[] = ['freezer', 'fridge', 'ice-bath', 'cold-water', 'cellar'];

/** Begins a chill by a person's word: on which probe, what is not known of it, and when its milk went in. */
export function BeginByHand({
  first,
  nowMs,
  places,
  probes,
  speech,
}: {
  /** True where it is the one filled button of the page. */
  first: boolean;
  nowMs: number;
  places: HouseView['places'];
  probes: readonly ProbeView[];
  speech: Speech;
}) {
  const [asking, setAsking] = useState(false);
  const [chosen, setChosen] = useState<string | null>(null);
  const heard = probes.filter((probe) => probe.state === 'heard');
  const probe = heard.find(({ id }) => id === chosen) ?? null;
  const rest = () => {
    setAsking(false);
    setChosen(null);
  };
  if (heard.length === 0) return <p class="note">No probe is heard; a watch can begin when one is.</p>;
  return (
    <div class="acts begin">
      <button
        type="button"
        class={first ? 'first' : 'plain'}
        aria-expanded={asking}
        onClick={() => (asking ? rest() : setAsking(true))}
      >
        Start a watch by hand
      </button>
      {asking && (
        <fieldset class="choices">
          <legend>On which probe?</legend>
          {heard.map((one) => (
            <Choice
              key={one.id}
              chosen={one.id === chosen}
              text={choiceText(one, speech)}
              onChoose={() => setChosen(one.id === chosen ? null : one.id)}
            />
          ))}
        </fieldset>
      )}
      {asking && probe?.place?.kind === 'pot' && (
        <BeginPot key={probe.id} onSaid={rest} probe={probe.id} speech={speech} />
      )}
      {asking && probe !== null && probe.place?.kind !== 'pot' && (
        <Telling key={probe.id} nowMs={nowMs} onSaid={rest} places={places} probe={probe} speech={speech} />
      )}
    </div>
  );
}

/** What is still to be told of the milk on a probe; the answer to the last question begins the watch. */
function Telling({
  nowMs,
  onSaid,
  places,
  probe,
  speech,
}: {
  nowMs: number;
  onSaid: () => void;
  places: HouseView['places'];
  probe: ProbeView;
  speech: Speech;
}) {
  const [volumeL, setVolumeL] = useState<number | null>(null);
  const [place, setPlace] = useState<string | null>(null);
  const begin = (sinceMs: number | null): Word => ({
    kind: 'chill-begin',
    probe: probe.id,
    ...(sinceMs === null ? {} : { sinceMs }),
    ...(volumeL === null ? {} : { volumeL }),
    ...(place === null ? {} : { place }),
  });
  const cold = places.filter(({ kind }) => coldKinds.includes(kind));
  return (
    <>
      {probe.vessel?.volumeL == null && (
        <fieldset class="choices">
          <legend>How much milk? Leave it where you do not know.</legend>
          {volumesL.map((one) => (
            <Choice
              key={one}
              chosen={one === volumeL}
              text={formatVolume(one)}
              onChoose={() => setVolumeL(one === volumeL ? null : one)}
            />
          ))}
        </fieldset>
      )}
      {probe.place === null && cold.length > 0 && (
        <fieldset class="choices">
          <legend>Where does it stand?</legend>
          {cold.map(({ id, name }) => (
            <Choice
              key={id}
              chosen={id === place}
              text={name}
              onChoose={() => setPlace(id === place ? null : id)}
            />
          ))}
        </fieldset>
      )}
      <fieldset class="choices">
        <legend>Its milk went in</legend>
        <WordButton text="just now" word={() => begin(null)} onSaid={onSaid} />
        {wentInBefore.map((minutes) => {
          const sinceMs = Math.floor(nowMs / minuteMs - minutes) * minuteMs;
          return (
            <WordButton
              key={minutes}
              text={`at ${clockText(sinceMs, speech)}`}
              word={() => begin(sinceMs)}
              onSaid={onSaid}
            />
          );
        })}
      </fieldset>
    </>
  );
}

function Choice({ chosen, onChoose, text }: { chosen: boolean; onChoose: () => void; text: string }) {
  return (
    <button type="button" class={chosen ? 'plain chosen' : 'plain'} aria-pressed={chosen} onClick={onChoose}>
      {text}
    </button>
  );
}

function choiceText(probe: ProbeView, { units }: Speech): string {
  return probe.latest === null ? probe.name : `${probe.name}, ${formatTemp(probe.latest.tempC, { units })}`;
}
