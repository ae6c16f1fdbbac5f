import { useState } from 'preact/hooks';
import type { AnyWatchView, WatchView } from '../../../shared/contract/api.ts';
import type { Rescue } from '../../../shared/contract/forecast.ts';
import { rescuePlace } from '../../../shared/dairy/rescue-place.ts';
import { rescueTaken } from '../../../shared/sentences/rescue-words.ts';
import { clockText, type Speech } from '../../../shared/sentences/speech.ts';
import { WordButton } from '../sheet/word-button.tsx';
import { countsFromText, placeText } from '../words/shown.ts';
import type { ChillSight } from './day-sight.ts';

const minuteMs = 60_000;

/** How long before the milk went in milking may have ended, as offered, minutes. */
const milkedBefore = [0, 5, 10, 15, 30];

type Asking = 'nothing' | 'milking' | 'ending';

/** What a person can tell of the way out that is offered: that it was taken, or that it is not. */
export function RescueWords({
  first,
  onLeave,
  rescue,
  sight: { probe, watch },
}: {
  first: boolean;
  onLeave: (left: boolean) => void;
  rescue: Rescue;
  sight: ChillSight;
}) {
  const there = probe?.place?.kind === rescuePlace(rescue.kind);
  const where = probe === null ? null : placeText(probe.place);
  return (
    <div class="acts">
      <TakenWord first={first} probe={watch.view.probe} rescue={rescue} there={there} />
      <button type="button" class="plain" onClick={() => onLeave(true)}>
        {where === null || there ? 'Leave it as it is' : `Leave it ${where}`}
      </button>
    </div>
  );
}

/** The button that says that a way out was taken; `there` is true where the milk is in such a place already. */
export function TakenWord({
  first = false,
  probe,
  rescue: { kind, vessels },
  there,
}: {
  first?: boolean;
  probe: string;
  rescue: Rescue;
  there: boolean;
}) {
  const poured = vessels === undefined ? {} : { vessels };
  return (
    <WordButton
      first={first}
      text={rescueTaken(there ? 'stir' : kind)}
      word={() => ({ kind: 'rescue-done', probe, rescue: kind, ...poured })}
    />
  );
}

/** What a person can tell any watch: that it is no longer wanted. */
export function EndWords({ view }: { view: AnyWatchView }) {
  const [asking, setAsking] = useState(false);
  return (
    <>
      <div class="acts">
        <button type="button" class="plain" aria-expanded={asking} onClick={() => setAsking(!asking)}>
          End this watch
        </button>
      </div>
      {asking && <EndChoices kind={view.kind} id={view.id} rest={() => setAsking(false)} />}
    </>
  );
}

function EndChoices({ id, kind, rest }: { id: string; kind: AnyWatchView['kind']; rest: () => void }) {
  const what = kind === 'keep' ? 'this place' : 'this milk';
  return (
    <fieldset class="choices">
      <legend>It stops watching {what}, and the record keeps that you said so.</legend>
      <WordButton text="Yes, end it" word={() => ({ kind: 'watch-end', watch: id })} onSaid={rest} />
      <button type="button" class="plain" onClick={rest}>
        Keep watching
      </button>
    </fieldset>
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
      {asking === 'ending' && <EndChoices kind="chill" id={view.id} rest={rest} />}
    </div>
  );
}
