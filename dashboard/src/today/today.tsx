import { useState } from 'preact/hooks';
import type { AnyWatchView } from '../../../shared/contract/api.ts';
import { PeopleSection } from '../door/people-section.tsx';
import { type HouseState, isLost } from '../feed/house-state.ts';
import { NoticeStrip } from '../notices/strip.tsx';
import { useVoice } from '../notices/use-voice.ts';
import { WaysSection } from '../notices/ways-section.tsx';
import { Masthead } from '../sheet/masthead.tsx';
import { Statement } from '../sheet/statement.tsx';
import { lostSentence } from '../words/lost-sentence.ts';
import { BeforeMilking } from './before-milking.tsx';
import { BeginByHand } from './begin-by-hand.tsx';
import { daySight, type LeftAlone } from './day-sight.ts';
import { FirstWatch } from './first-watch.tsx';
import { NothingOnWatch } from './nothing.tsx';
import { Lately, Probes, SaidToday, ToCome } from './rail.tsx';
import { WatchRow } from './watch-row.tsx';

/** The page of the day: the watch that matters most, then the others, and beside them what is to come. */
export function Today({ localMs, state }: { localMs: number; state: HouseState }) {
  // Kept on this page alone: what one person leaves, the next one who looks shall see.
  const [leftAlone, setLeftAlone] = useState<LeftAlone>(new Map());
  const speaking = useVoice(state);
  const { house } = state;
  const live = !isLost(state, localMs);
  if (house === null) return <Opening live={live} />;
  const { nowMs, probes, sights, speech } = daySight({ leftAlone, live, localMs, state });
  const [first, ...others] = sights;
  const views = sights.map(({ watch }) => watch.view);
  const leave = (view: AnyWatchView) => (left: boolean) => {
    const next = new Map(leftAlone);
    if (left && view.kind === 'chill') next.set(view.id, view.state);
    else next.delete(view.id);
    setLeftAlone(next);
  };
  return (
    <>
      <Masthead house={house} nowMs={nowMs} page="today" />
      {!live && (
        <div class="lost" role="alert">
          <Statement mark="house-lost" sentence={lostSentence(state.heardMs + state.offsetMs, speech)} />
        </div>
      )}
      <main>
        <div class="column">
          {first === undefined ? (
            <NothingOnWatch {...{ live, nowMs, probes, speech }} places={house.places} />
          ) : (
            <FirstWatch key={first.watch.view.id} onLeave={leave(first.watch.view)} sight={first} />
          )}
          <NoticeStrip first={first?.watch.view ?? null} {...{ nowMs, speaking, speech }} />
          {others.map((sight) => (
            <WatchRow key={sight.watch.view.id} onLeave={leave(sight.watch.view)} sight={sight} />
          ))}
          {live && first !== undefined && (
            <BeginByHand first={false} {...{ nowMs, probes, speech }} places={house.places} />
          )}
          {live && <BeforeMilking {...{ probes, speech }} places={house.places} />}
        </div>
        <aside class="rail">
          <ToCome nowMs={nowMs} places={house.places} speech={speech} watches={views} />
          <Lately places={house.places} speech={speech} watches={views} />
          <Probes live={live} probes={probes} speech={speech} />
          <SaidToday
            beside={live ? (first?.watch.sentence.notes ?? []) : []}
            notices={state.notices}
            speech={speech}
          />
          <WaysSection {...{ nowMs, speaking, speech }} />
          <PeopleSection speech={speech} />
        </aside>
      </main>
    </>
  );
}

/** The page before the house has answered. */
export function Opening({ live }: { live: boolean }) {
  return (
    <main>
      <p class="opening" role="status">
        {live ? 'Asking the house.' : 'No word from the house yet. This page keeps asking.'}
      </p>
    </main>
  );
}
