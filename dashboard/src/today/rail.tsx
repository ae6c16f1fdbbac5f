import type { AnyWatchView, HouseView, Notice, ProbeView } from '../../../shared/contract/api.ts';
import { noteName } from '../../../shared/sentences/keep-words.ts';
import { clockText, type Speech } from '../../../shared/sentences/speech.ts';
import { formatDegrees, formatTemp } from '../../../shared/units/format.ts';
import { shortSpan } from '../chart/keep-scene.ts';
import { Lettered, Said, Sentence } from '../words/phrases.tsx';
import { saidOnce } from '../words/said-once.ts';
import { byProbe } from '../words/shown.ts';
import { listToCome } from './to-come.ts';

/** How many notices the page shows; the record has them all. */
const noticesShown = 5;

/** How many notes of the cold places it shows. */
const notesShown = 6;

/** What comes next, by the clock. */
export function ToCome({
  nowMs,
  places,
  speech,
  watches,
}: {
  nowMs: number;
  places: HouseView['places'];
  speech: Speech;
  watches: readonly AnyWatchView[];
}) {
  const coming = listToCome(watches, { nowMs, places, speech });
  return (
    <section>
      <h2>
        To come <small>{coming.some((one) => one.forecast) && <i>slanted: forecast</i>}</small>
      </h2>
      {coming.length === 0 ? (
        <p class="note">Nothing is due.</p>
      ) : (
        <table class="timetable">
          <tbody>
            {coming.map((one) => (
              <tr key={one.key} class={one.handWanted ? 'wanted' : ''}>
                <th scope="row">
                  <Said forecast={one.forecast} text={clockText(one.atMs, speech)} />
                </th>
                <td>
                  <Lettered text={one.text} />
                  {one.small.length > 0 && (
                    <small>
                      <Sentence phrases={one.small} />
                    </small>
                  )}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </section>
  );
}

/** Every probe of the house: where it hangs, what it shows, when it was heard. */
export function Probes({
  live,
  probes,
  speech,
}: {
  live: boolean;
  probes: readonly ProbeView[];
  speech: Speech;
}) {
  return (
    <section>
      <h2>
        Probes <small>{probes.length > 0 && <Lettered text={`°${speech.units}, last heard`} />}</small>
      </h2>
      {probes.length === 0 ? (
        <p class="note">No probe is named in the house file.</p>
      ) : (
        <table class="probes">
          <tbody>
            {probes.map((probe) => (
              <ProbeRow key={probe.id} live={live} probe={probe} speech={speech} />
            ))}
          </tbody>
        </table>
      )}
    </section>
  );
}

function ProbeRow({ live, probe, speech }: { live: boolean; probe: ProbeView; speech: Speech }) {
  const heard = live && probe.state === 'heard';
  const { latest } = probe;
  return (
    <tr>
      <th scope="row">
        {probe.name}
        {probe.place !== null && probe.place.name !== probe.name && <small>{probe.place.name}</small>}
      </th>
      <td class={heard ? 'digits' : 'digits hollow'}>
        {latest === null ? '' : formatDegrees(latest.tempC, { units: speech.units })}
      </td>
      <td>
        {latest === null ? 'never heard' : clockText(latest.atMs, speech)}
        {probe.state === 'silent' && <small>silent</small>}
      </td>
    </tr>
  );
}

/** What went on in the cold places lately, by the clock; nothing where all was as usual. */
export function Lately({
  places,
  speech,
  watches,
}: {
  places: HouseView['places'];
  speech: Speech;
  watches: readonly AnyWatchView[];
}) {
  const keeps = watches.filter((view) => view.kind === 'keep');
  const went = keeps
    .flatMap((view) =>
      view.notes.map((note) => ({ ...note, id: view.id, place: byProbe(view, { places, speech }).name })),
    )
    .filter(({ cause }) => cause !== 'usual' && cause !== 'settling')
    .sort((a, b) => a.fromMs - b.fromMs)
    .slice(-notesShown);
  if (went.length === 0) return null;
  const named = new Set(went.map(({ place }) => place));
  return (
    <section>
      <h2>
        Lately <small>{named.size === 1 && [...named][0]}</small>
      </h2>
      <table class="timetable">
        <tbody>
          {went.map(({ cause, fromMs, id, mostC, place, toMs }) => (
            <tr key={`${id} ${cause} ${fromMs}`}>
              <th scope="row">{clockText(fromMs, speech)}</th>
              <td>
                {noteName(cause)}
                {toMs === null ? ', still' : `, ${shortSpan(toMs - fromMs)}`}
                <small>
                  {named.size > 1 && `${place}: `}
                  <Lettered text={`${formatTemp(mostC, { units: speech.units })} at the most`} />
                </small>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

/** The last notices, newest first; `beside` are cautions that the page shows already. */
export function SaidToday({
  beside,
  notices,
  speech,
}: {
  beside: readonly string[];
  notices: readonly Notice[];
  speech: Speech;
}) {
  if (notices.length === 0) return null;
  const shown = notices.slice(0, noticesShown);
  const texts = saidOnce(
    shown.map(({ text }) => text),
    beside,
  );
  return (
    <section>
      <h2>
        Said <small>newest first</small>
      </h2>
      <table class="timetable">
        <tbody>
          {shown.map((notice, place) => (
            <tr key={notice.id}>
              <th scope="row">{clockText(notice.atMs, speech)}</th>
              <td>
                <Lettered text={texts[place] ?? notice.text} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
