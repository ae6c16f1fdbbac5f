import { clockText, type Speech } from '../../../shared/sentences/speech.ts';
import { Lettered } from '../words/phrases.tsx';
import { rateText } from '../words/shown.ts';

/** How fast it goes, under a watch's number; when it was last heard where it is not heard now. */
export function HeardRate({
  heard,
  speech,
  view,
}: {
  heard: boolean;
  speech: Speech;
  view: { latest: { atMs: number } | null; rateCPerMin: number | null };
}) {
  if (view.latest === null) return null;
  const text = heard
    ? (rateText(view.rateCPerMin, speech.units) ?? '')
    : `last heard ${clockText(view.latest.atMs, speech)}`;
  return (
    <p class="rate">
      <Lettered text={text} />
    </p>
  );
}
