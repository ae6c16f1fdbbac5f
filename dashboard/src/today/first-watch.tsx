import { takenSince } from '../../../shared/sentences/rescue-words.ts';
import { clockText, nameOf } from '../../../shared/sentences/speech.ts';
import { formatVolume } from '../../../shared/units/format.ts';
import { Statement } from '../sheet/statement.tsx';
import { Sentence } from '../words/phrases.tsx';
import { byProbe, placeText } from '../words/shown.ts';
import { ChillSheet } from './chill-sheet.tsx';
import { isKeep, isPot, type WatchSight } from './day-sight.ts';
import { KeepSheet } from './keep-sheet.tsx';
import { PotSheet } from './pot-sheet.tsx';

/** The watch that the page puts first: subject, sentence, number, picture. */
export function FirstWatch({ onLeave, sight }: { onLeave: (left: boolean) => void; sight: WatchSight }) {
  const { live, watch } = sight;
  const { sentence, view } = watch;
  return (
    <article class="first-watch">
      <h2 class="subject">
        <Subject sight={sight} />
      </h2>
      {live ? (
        <Statement mark={view.state} sentence={sentence} />
      ) : (
        <p class="as-heard">
          <b>{sentence.word}.</b> <Sentence phrases={sentence.say} /> <Sentence phrases={sentence.or} />
        </p>
      )}
      <WatchSheet chief onLeave={onLeave} sight={sight} />
    </article>
  );
}

/** All that stands under the sentence of a watch. */
export function WatchSheet({
  chief,
  onLeave,
  sight,
}: {
  /** True for the watch that the page puts first: it alone may have the filled button. */
  chief: boolean;
  onLeave: (left: boolean) => void;
  sight: WatchSight;
}) {
  if (isKeep(sight)) return <KeepSheet sight={sight} />;
  if (isPot(sight)) return <PotSheet sight={sight} />;
  return <ChillSheet chief={chief} onLeave={onLeave} sight={sight} />;
}

/** What is watched: its name, what it holds, where it stands and since when. */
function Subject({ sight }: { sight: WatchSight }) {
  const { probe, speech, watch } = sight;
  const since = clockText(watch.view.sinceMs, speech);
  if (isKeep(sight)) {
    const { by, name } = byProbe(sight.watch.view, sight);
    return (
      <>
        <b>{name}</b> <span class="soft">{by}</span>
      </>
    );
  }
  const vessel = probe?.vessel ?? null;
  const place = probe === null ? null : placeText(probe.place);
  const holds = [vessel?.name, vessel?.volumeL ? formatVolume(vessel.volumeL) : null].filter(Boolean);
  const taken = watch.view.kind === 'chill' ? watch.view.taken?.at(-1) : undefined;
  return (
    <>
      <b>{nameOf(speech, watch.view.probe)}</b> {holds.length > 0 && <span>{holds.join(', ')}</span>}{' '}
      <span class="soft">
        {taken === undefined ? `${place ?? 'on watch'} since ${since}` : lowered(takenSince(taken, speech))}
      </span>
    </>
  );
}

function lowered(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1);
}
