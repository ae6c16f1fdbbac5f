import { useMemo, useState } from 'preact/hooks';
import type { HouseView, ProbeView } from '../../../shared/contract/api.ts';
import { type HouseState, isLost, speechOf } from '../feed/house-state.ts';
import { Fitted } from '../sheet/fitted.tsx';
import { Masthead } from '../sheet/masthead.tsx';
import { Statement } from '../sheet/statement.tsx';
import { Opening } from '../today/today.tsx';
import { lostSentence } from '../words/lost-sentence.ts';
import { Lettered } from '../words/phrases.tsx';
import { BesideChoice } from './beside-choice.tsx';
import { damagedMsOf, envelopeOf, shiftedBuckets, sumOf } from './envelope.ts';
import { HistoryPicture } from './history-picture.tsx';
import { Copies, Kept, SaidThen, TakeOut } from './history-rail.tsx';
import { historyScene } from './history-scene.ts';
import { spanText, sumSentence } from './history-words.ts';
import { Moves } from './moves.tsx';
import { useEnvelope, useFirstMs, useLate, useNotices } from './use-envelope.ts';
import { usePlace } from './use-place.ts';
import { endingAt, heldBack, type ViewSpan } from './view-span.ts';

/** How far from its end a span still follows now, as a part of itself. */
const followPart = 0.02;

/** The page of the past: one probe's curve over any span, a second one under it, what was said, and files of it. */
export function HistoryPage({ localMs, state }: { localMs: number; state: HouseState }) {
  const { house } = state;
  const live = !isLost(state, localMs);
  if (house === null) return <Opening live={live} />;
  const probes = [...state.probes.values()].map(({ view }) => view);
  const nowMs = localMs + state.offsetMs;
  return (
    <>
      <Masthead house={house} nowMs={nowMs} page="history" />
      {!live && (
        <div class="lost" role="alert">
          <Statement
            mark="house-lost"
            sentence={lostSentence(state.heardMs + state.offsetMs, speechOf(state))}
          />
        </div>
      )}
      {probes.length === 0 ? (
        <main>
          <p class="opening">No probe is named in the house file.</p>
        </main>
      ) : (
        <Past {...{ house, nowMs, probes }} />
      )}
    </>
  );
}

function Past({ house, nowMs, probes }: { house: HouseView; nowMs: number; probes: readonly ProbeView[] }) {
  const { place, go } = usePlace();
  const [plotPx, setPlotPx] = useState(0);
  const [cursorMs, setCursorMs] = useState<number | null>(null);
  const probe = probes.find(({ id }) => id === place.probe) ?? (probes[0] as ProbeView);
  const firstMs = useFirstMs(probe.id);
  const bounds = { firstMs, nowMs };

  // A span that follows now moves on by pixels, not by each second of the clock.
  const followMs = Math.max(1_000, Math.round(place.spanMs / 400));
  const tick = Math.floor(nowMs / followMs);
  const span = useMemo(
    () => endingAt(place.toMs ?? (tick + 1) * followMs, place.spanMs),
    [place.toMs, place.spanMs, place.toMs === null ? tick : 0],
  );
  const seesNow = span.toMs >= nowMs;
  const again = seesNow ? Math.floor(nowMs / Math.max(10_000, followMs)) : 0;
  const { held, trouble } = useEnvelope(probe.id, span, { plotPx, again });
  const other = place.beside === null ? null : (probes.find(({ id }) => id === place.beside?.probe) ?? null);
  const earlierMs = place.beside?.earlierMs ?? 0;
  const otherSpan = { fromMs: span.fromMs - earlierMs, toMs: span.toMs - earlierMs };
  const besideHeld = useEnvelope(other?.id ?? null, otherSpan, { plotPx, again }).held;
  const notices = useNotices(span, again).filter(
    (notice) => notice.probe === null || notice.probe === probe.id,
  );

  const envelope = useMemo(() => envelopeOf(held?.buckets ?? [], probe.intervalMs), [held, probe.intervalMs]);
  const besideEnvelope = useMemo(
    () => envelopeOf(shiftedBuckets(besideHeld?.buckets ?? [], earlierMs), other?.intervalMs ?? null),
    [besideHeld, earlierMs, other?.intervalMs],
  );
  const beside =
    other === null ? null : { name: besideName(other, probe, earlierMs), envelope: besideEnvelope };
  const late = useLate(probe.id, span, again);
  const sum = sumOf(envelope, span);
  const { units, zone } = house;
  const scene = historyScene({
    span,
    first: { name: probe.name, envelope },
    beside,
    notices,
    late,
    nowMs,
    cursorMs,
    units,
    zone,
    plotPx: Math.max(plotPx, 1),
  });
  const change = (next: ViewSpan) => {
    const kept = heldBack(next, bounds);
    const spanMs = kept.toMs - kept.fromMs;
    const follows = Math.abs(kept.toMs - nowMs) < spanMs * followPart;
    go({ ...place, probe: probe.id, spanMs, toMs: follows ? null : kept.toMs });
  };
  const damagedMs = damagedMsOf(held?.damaged ?? [], span);
  const { say, or } = sumSentence(sum, { units, damagedMs });
  const isAsking = held === null && !trouble;
  return (
    <main class="past">
      <div class="column">
        <div class="past-head">
          <label class="choice">
            <span>Probe</span>
            <select
              value={probe.id}
              onChange={({ currentTarget }) => go({ ...place, probe: currentTarget.value })}
            >
              {probes.map(({ id, name }) => (
                <option key={id} value={id}>
                  {name}
                </option>
              ))}
            </select>
          </label>
          <p class="past-span figures">{spanText(span, zone)}</p>
        </div>
        <div class="statement bare" role="status">
          <Fitted name="say">
            <Lettered text={isAsking ? 'Asking the house.' : trouble ? 'The house did not answer.' : say} />
          </Fitted>
          {!isAsking && !trouble && or !== '' && (
            <Fitted name="or">
              <Lettered text={or} />
            </Fitted>
          )}
        </div>
        <HistoryPicture
          bounds={bounds}
          label={`${probe.name}, ${spanText(span, zone)}. ${say} ${or}`}
          onPoint={setCursorMs}
          onSpan={change}
          onWidth={setPlotPx}
          scene={scene}
        />
        <Moves bounds={bounds} onSpan={change} span={span} />
        <BesideChoice
          beside={place.beside}
          onChoose={(chosen) => go({ ...place, probe: probe.id, beside: chosen })}
          probe={probe}
          probes={probes}
          span={span}
          zone={zone}
        />
      </div>
      <aside class="rail">
        <SaidThen notices={notices} span={span} zone={zone} onGo={(atMs) => setCursorMs(atMs)} />
        <TakeOut probe={probe.id} span={{ fromMs: span.fromMs, toMs: Math.min(span.toMs, nowMs) }} />
        <Kept
          disk={house.disk}
          firstMs={firstMs}
          late={late.reduce((many, { count }) => many + count, 0)}
          count={sum?.count ?? 0}
          zone={zone}
        />
        <Copies mirrors={house.mirrors} />
      </aside>
    </main>
  );
}

const dayMs = 86_400_000;

function besideName(other: ProbeView, probe: ProbeView, earlierMs: number): string {
  const name = other.id === probe.id ? '' : other.name;
  const days = earlierMs / dayMs;
  const earlier =
    earlierMs === 0
      ? ''
      : days === 1
        ? 'a day earlier'
        : days === 7
          ? 'a week earlier'
          : days === 365
            ? 'a year earlier'
            : 'earlier';
  return [name, earlier].filter((part) => part !== '').join(', ');
}
