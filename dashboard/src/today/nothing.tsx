import { useState } from 'preact/hooks';
import type { ProbeView } from '../../../shared/contract/api.ts';
import type { Speech } from '../../../shared/sentences/speech.ts';
import { emptySentence } from '../../../shared/sentences/watch-sentence.ts';
import { formatTemp } from '../../../shared/units/format.ts';
import { Chart } from '../chart/chart.tsx';
import { emptyScene } from '../chart/chill-scene.ts';
import { describeEmpty } from '../chart/describe.ts';
import { fullFrame } from '../chart/frames.ts';
import { Statement } from '../sheet/statement.tsx';
import { WordButton } from '../sheet/word-button.tsx';
import { usualWindow } from '../words/shown.ts';

/** A calm page: no milk is on watch; one can be begun by hand. */
export function NothingOnWatch({
  live,
  probes,
  speech,
}: {
  live: boolean;
  probes: readonly ProbeView[];
  speech: Speech;
}) {
  return (
    <article class="first-watch nothing">
      <Statement mark="nothing" sentence={emptySentence(usualWindow.spanMs)} />
      {live && <BeginByHand probes={probes} speech={speech} />}
      <Chart
        kind="full"
        label={describeEmpty(usualWindow, speech)}
        draw={(size) => emptyScene({ ...usualWindow, speech }, fullFrame(size))}
      />
    </article>
  );
}

function BeginByHand({ probes, speech }: { probes: readonly ProbeView[]; speech: Speech }) {
  const [asking, setAsking] = useState(false);
  const heard = probes.filter((probe) => probe.state === 'heard');
  if (heard.length === 0) return <p class="note">No probe is heard; a watch can begin when one is.</p>;
  return (
    <div class="acts">
      <button type="button" class="first" aria-expanded={asking} onClick={() => setAsking(!asking)}>
        Start a watch by hand
      </button>
      {asking && (
        <fieldset class="choices">
          <legend>On which probe?</legend>
          {heard.map((probe) => (
            <WordButton
              key={probe.id}
              text={choiceText(probe, speech)}
              word={() => ({ kind: 'chill-begin', probe: probe.id })}
              onSaid={() => setAsking(false)}
            />
          ))}
        </fieldset>
      )}
    </div>
  );
}

function choiceText(probe: ProbeView, { units }: Speech): string {
  return probe.latest === null ? probe.name : `${probe.name}, ${formatTemp(probe.latest.tempC, { units })}`;
}
