import { useState } from 'preact/hooks';
import type { WatchView } from '../../../shared/contract/api.ts';
import { clockText, type Speech } from '../../../shared/sentences/speech.ts';
import { WordButton } from '../sheet/word-button.tsx';
import { countsFromText } from '../words/shown.ts';

const minuteMs = 60_000;

/** How long before the milk went in milking may have ended, as offered, minutes. */
const milkedBefore = [0, 5, 10, 15, 30];

type Asking = 'nothing' | 'milking' | 'ending';

/** What a person can tell of a way out: that it was taken. */
export function RescueWords({
  iceTub,
  view,
}: {
  /** The id of a place of ice that the house has; null where it has none. */
  iceTub: string | null;
  view: WatchView;
}) {
  if (iceTub === null) return null;
  return (
    <div class="acts">
      <WordButton
        first
        text="It’s in the ice"
        word={() => ({ kind: 'moved', probe: view.probe, place: iceTub })}
      />
    </div>
  );
}

/** What a person can tell a chill: when milking ended, and that it is no longer wanted. */
export function WatchWords({ nowMs, speech, view }: { nowMs: number; speech: Speech; view: WatchView }) {
  const [asking, setAsking] = useState<Asking>('nothing');
  const toggle = (what: Asking) => () => setAsking(asking === what ? 'nothing' : what);
  const rest = () => setAsking('nothing');
  const open = view.state !== 'made' && view.state !== 'late' && view.state !== 'missed';
  const milked = (atMs: number) => () => ({ kind: 'milking-ended' as const, probe: view.probe, atMs });
  return (
    <div class="words">
      <p class="note">{countsFromText(view.window, speech)}</p>
      <div class="acts">
        {open && (
          <button
            type="button"
            class="plain"
            aria-expanded={asking === 'milking'}
            onClick={toggle('milking')}
          >
            {view.window.origin === 'milking' ? 'Milking ended at another time' : 'When did milking end?'}
          </button>
        )}
        <button type="button" class="plain" aria-expanded={asking === 'ending'} onClick={toggle('ending')}>
          End this watch
        </button>
      </div>
      {open && asking === 'milking' && (
        <fieldset class="choices">
          <legend>Milking ended</legend>
          <WordButton text="just now" word={milked(nowMs)} onSaid={rest} />
          {milkedBefore.map((minutes) => {
            const atMs = view.sinceMs - minutes * minuteMs;
            return (
              <WordButton
                key={minutes}
                text={`at ${clockText(atMs, speech)}`}
                word={milked(atMs)}
                onSaid={rest}
              />
            );
          })}
        </fieldset>
      )}
      {asking === 'ending' && (
        <fieldset class="choices">
          <legend>It stops watching this milk, and the record keeps that you said so.</legend>
          <WordButton text="Yes, end it" word={() => ({ kind: 'watch-end', watch: view.id })} onSaid={rest} />
          <button type="button" class="plain" onClick={rest}>
            Keep watching
          </button>
        </fieldset>
      )}
    </div>
  );
}
