import type { HouseView, ProbeView } from '../../../shared/contract/api.ts';
import type { Speech } from '../../../shared/sentences/speech.ts';
import { emptySentence } from '../../../shared/sentences/watch-sentence.ts';
import { Chart } from '../chart/chart.tsx';
import { emptyScene } from '../chart/chill-scene.ts';
import { describeEmpty } from '../chart/describe.ts';
import { fullFrame } from '../chart/frames.ts';
import { Statement } from '../sheet/statement.tsx';
import { usualWindow } from '../words/shown.ts';
import { BeginByHand } from './begin-by-hand.tsx';

/** A calm page: no milk is on watch; one can be begun by hand. */
export function NothingOnWatch({
  live,
  nowMs,
  places,
  probes,
  speech,
}: {
  live: boolean;
  nowMs: number;
  places: HouseView['places'];
  probes: readonly ProbeView[];
  speech: Speech;
}) {
  return (
    <article class="first-watch nothing">
      <Statement mark="nothing" sentence={emptySentence(usualWindow.spanMs)} />
      {live && <BeginByHand first nowMs={nowMs} places={places} probes={probes} speech={speech} />}
      <Chart
        kind="full"
        label={describeEmpty(usualWindow, speech)}
        draw={(size) => emptyScene({ ...usualWindow, speech }, fullFrame(size))}
      />
    </article>
  );
}
