import { emptyCurve } from '../feed/curve.ts';
import { type HouseState, isLost, speechOf } from '../feed/house-state.ts';
import { Masthead } from '../sheet/masthead.tsx';
import { Statement } from '../sheet/statement.tsx';
import { lostSentence } from '../words/lost-sentence.ts';
import { FirstWatch, type WatchSight } from './first-watch.tsx';
import { NothingOnWatch } from './nothing.tsx';
import { orderWatches } from './order.ts';
import { Probes, SaidToday, ToCome } from './rail.tsx';
import { WatchRow } from './watch-row.tsx';

/** The page of the day: the watch that matters most, then the others, and beside them what is to come. */
export function Today({ localMs, state }: { localMs: number; state: HouseState }) {
  const { house } = state;
  const live = !isLost(state, localMs);
  if (house === null) return <Opening live={live} />;
  const nowMs = localMs + state.offsetMs;
  const speech = speechOf(state);
  const probes = [...state.probes.values()].map(({ view }) => view);
  const watches = orderWatches(
    [...state.watches.values()].map(({ view }) => view),
    { nowMs, speech },
  );
  const sights = watches.map(
    (watch): WatchSight => ({
      watch,
      probe: state.probes.get(watch.view.probe)?.view ?? null,
      curve: state.curves.get(watch.view.probe) ?? emptyCurve,
      speech,
      nowMs,
      live,
    }),
  );
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
          <ToCome nowMs={nowMs} speech={speech} watches={watches.map(({ view }) => view)} />
          <Probes live={live} probes={probes} speech={speech} />
          <SaidToday notices={state.notices} speech={speech} />
        </aside>
      </main>
    </>
  );
}

function Opening({ live }: { live: boolean }) {
  return (
    <main>
      <p class="opening" role="status">
        {live ? 'Asking the house.' : 'No word from the house yet. This page keeps asking.'}
      </p>
    </main>
  );
}
