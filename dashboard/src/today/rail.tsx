import type { Notice, ProbeView, WatchView } from '../../../shared/contract/api.ts';
import { clockText, type Speech } from '../../../shared/sentences/speech.ts';
import { formatDegrees } from '../../../shared/units/format.ts';
import { Lettered, Said } from '../words/phrases.tsx';
import { listToCome } from './to-come.ts';

/** How many notices the page shows; the record has them all. */
const noticesShown = 5;

/** What comes next, by the clock. */
export function ToCome({
  nowMs,
  speech,
  watches,
}: {
  nowMs: number;
  speech: Speech;
  watches: readonly WatchView[];
}) {
  const coming = listToCome(watches, { nowMs, speech });
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
                  {one.small !== null && <small>{one.forecast ? <i>{one.small}</i> : one.small}</small>}
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

/** The last notices, newest first. */
export function SaidToday({ notices, speech }: { notices: readonly Notice[]; speech: Speech }) {
  if (notices.length === 0) return null;
  return (
    <section>
      <h2>
        Said <small>newest first</small>
      </h2>
      <table class="timetable">
        <tbody>
          {notices.slice(0, noticesShown).map((notice) => (
            <tr key={notice.id}>
              <th scope="row">{clockText(notice.atMs, speech)}</th>
              <td>
                <Lettered text={notice.text} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
