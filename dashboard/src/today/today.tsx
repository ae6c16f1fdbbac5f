import { type HouseState, isLost } from '../feed/house-state.ts';
import { Masthead } from '../sheet/masthead.tsx';
import { Statement } from '../sheet/statement.tsx';
import { lostSentence } from '../words/lost-sentence.ts';
import { daySight } from './day-sight.ts';
import { FirstWatch } from './first-watch.tsx';
import { NothingOnWatch } from './nothing.tsx';
import { Probes, SaidToday, ToCome } from './rail.tsx';
import { WatchRow } from './watch-row.tsx';

/** The page of the day: the watch that matters most, then the others, and beside them what is to come. */
export function Today({ localMs, state }: { localMs: number; state: HouseState }) {
  const { house } = state;
  const live = !isLost(state, localMs);
  if (house === null) return <Opening live={live} />;
  const { nowMs, probes, sights, speech } = daySight({ live, localMs, state });
  const [first, ...others] = sights;
  return (
    <>
      <Masthead house={house} nowMs={nowMs} />
      {!live && (
        <div class="lost" role="alert">
          <Statement mark="house-lost" sentence={lostSentence(state.heardMs + state.offsetMs, speech)} />
        </div>
      )}
      <main>
        <div class="column">
          {first === undefined ? (
            <NothingOnWatch live={live} probes={probes} speech={speech} />
          ) : (
            <FirstWatch key={first.watch.view.id} {...first} />
          )}
          {others.map((sight) => (
            <WatchRow key={sight.watch.view.id} {...sight} />
          ))}
        </div>
        <aside class="rail">
          <ToCome nowMs={nowMs} speech={speech} watches={sights.map(({ watch }) => watch.view)} />
          <Probes live={live} probes={probes} speech={speech} />
          <SaidToday notices={state.notices} speech={speech} />
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
