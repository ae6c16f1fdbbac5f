import type { AnyWatchView } from '../../../shared/contract/api.ts';
import type { Rescue } from '../../../shared/contract/forecast.ts';
import type { MatterView } from '../../../shared/contract/notify.ts';
import { clockText, type Speech } from '../../../shared/sentences/speech.ts';
import { WordButton } from '../sheet/word-button.tsx';
import { Lettered } from '../words/phrases.tsx';
import { wayOut } from '../words/way-out.ts';
import type { Speaking } from './use-voice.ts';

/** How long a reminder is put off where nothing sets a last moment. */
const remindLaterMs = 15 * 60_000;

/**
 * Under the watch that the page puts first: what nobody has seen, whether anybody is told, whether this page sounds.
 * What that watch says already is not said again.
 */
export function NoticeStrip({
  first,
  nowMs,
  speaking,
  speech,
}: {
  first: AnyWatchView | null;
  nowMs: number;
  speaking: Speaking;
  speech: Speech;
}) {
  const { askAgain, letSound, sounds, voice } = speaking;
  if (voice === null) return null;
  const { matters, ways } = voice;
  const unseen = matters.filter(
    ({ seen, snoozedToMs, weight }) => weight !== 'tell' && seen === null && snoozedToMs === null,
  );
  if (ways.proved && sounds && unseen.length === 0) return null;
  return (
    <section class="speaks" aria-label="How the house speaks up">
      {unseen.length > 0 && (
        <ul>
          {unseen.map((matter) => (
            <UnseenMatter key={matter.id} {...{ first, matter, nowMs, speech }} onSaid={askAgain} />
          ))}
        </ul>
      )}
      {!ways.proved && (
        <p>
          <b>With this page shut, nobody is told: no other way has proved itself.</b>{' '}
          {ways.ways.some(({ kind }) => kind !== 'page')
            ? 'Test one under Ways.'
            : 'Name one in the house file.'}
        </p>
      )}
      {!sounds && (
        <p class="silent">
          <span>This page is silent until you let it sound.</span>
          <button type="button" class="plain" onClick={letSound}>
            Let it sound
          </button>
        </p>
      )}
    </section>
  );
}

function UnseenMatter({
  first,
  matter,
  nowMs,
  onSaid,
  speech,
}: {
  first: AnyWatchView | null;
  matter: MatterView;
  nowMs: number;
  onSaid: () => void;
  speech: Speech;
}) {
  const { id } = matter;
  const said = saidAbove(first, matter, nowMs);
  // The newest forecast's, as it stands above.
  const remindAtMs = said?.lastUsefulAtMs ?? matter.remindAtMs;
  // The last moment is worth a reminder only while there is time before it.
  const untilMs = remindAtMs !== null && remindAtMs > nowMs + 60_000 ? remindAtMs : nowMs + remindLaterMs;
  const minuteMs = Math.ceil(untilMs / 60_000) * 60_000;
  const offered = remindAtMs === untilMs ? untilMs : minuteMs;
  return (
    <li>
      {said === null && (
        <p>
          <Lettered text={matter.text} />
        </p>
      )}
      <div class="acts">
        <WordButton text="Seen" word={() => ({ kind: 'notice-seen', matter: id })} onSaid={onSaid} />
        <WordButton
          text={`Remind me at ${clockText(offered, speech)}`}
          word={() => ({ kind: 'notice-snoozed', matter: id, untilMs: offered })}
          onSaid={onSaid}
        />
      </div>
    </li>
  );
}

/** The way out that the first watch's sentence asks for, where that says what this matter would; else null. */
function saidAbove(first: AnyWatchView | null, { code, watch }: MatterView, nowMs: number): Rescue | null {
  if (first?.kind !== 'chill' || watch !== first.id || code !== 'chill-will-miss') return null;
  return wayOut(first, nowMs);
}
