import type { DiskView, MirrorView, Notice } from '../../../shared/contract/api.ts';
import { type ExportFormName, exportFormNames } from '../../../shared/contract/export-forms.ts';
import { Lettered } from '../words/phrases.tsx';
import { clockOrDate, countText, dateText, diskLines, mirrorText } from './history-words.ts';
import type { ViewSpan } from './view-span.ts';

/** Notices of a span that the rail lists; the picture marks them all. */
const noticesListed = 12;

/** What was said in the span shown; each one leads to its place in the picture. */
export function SaidThen({
  notices,
  onGo,
  span,
  zone,
}: {
  notices: readonly Notice[];
  onGo: (atMs: number) => void;
  span: ViewSpan;
  zone: string;
}) {
  return (
    <section>
      <h2>
        Said then{' '}
        <small>
          {notices.length > noticesListed ? `the last ${noticesListed} of ${notices.length}` : ''}
        </small>
      </h2>
      {notices.length === 0 ? (
        <p class="note">Nothing was said in this span.</p>
      ) : (
        <ul class="said-then">
          {notices.slice(0, noticesListed).map(({ id, atMs, text }) => (
            <li key={id}>
              <button type="button" class="quiet" onClick={() => onGo(atMs)}>
                <b class="figures">{clockOrDate(atMs, span, zone)}</b> <Lettered text={text} />
              </button>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

const formWords: Readonly<Record<ExportFormName, string>> = {
  csv: 'CSV, every reading with its flags',
  trace: 'CSV for a replay',
  jsonl: 'JSON, one reading a line',
  senml: 'SenML (RFC 8428)',
  lp: 'Line protocol',
};

/** The readings of the span shown, as files. */
export function TakeOut({ probe, span }: { probe: string; span: ViewSpan }) {
  const query = (form: ExportFormName) =>
    `form=${form}&from=${span.fromMs}&to=${Math.max(span.toMs, span.fromMs + 1)}`;
  return (
    <section>
      <h2>
        Take it out <small>what is shown, as read, °C</small>
      </h2>
      <ul class="take-out">
        {exportFormNames.map((form) => (
          <li key={form}>
            <a download href={`api/history/${encodeURIComponent(probe)}/export?${query(form)}`}>
              {formWords[form]}
            </a>
          </li>
        ))}
      </ul>
    </section>
  );
}

/** What is kept: readings in the span, since when there are any, and the disk that they take. */
export function Kept({
  count,
  disk,
  firstMs,
  late,
  zone,
}: {
  count: number;
  disk: DiskView;
  firstMs: number | null;
  late: number;
  zone: string;
}) {
  const lines: [string, string][] = [
    ['In this span', countText(count)],
    ...(late > 0 ? ([['of them late', countText(late)]] as [string, string][]) : []),
    ...(firstMs === null ? [] : ([['Since', dateText(firstMs, zone)]] as [string, string][])),
    ...diskLines(disk),
  ];
  return (
    <section>
      <h2>
        Kept <small>readings, disk</small>
      </h2>
      <table class="kept">
        <tbody>
          {lines.map(([what, much]) => (
            <tr key={what}>
              <th scope="row">{what}</th>
              <td class="figures">{much}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

/** The copies elsewhere and how far behind they are; nothing where the house has none. */
export function Copies({ mirrors }: { mirrors: readonly MirrorView[] }) {
  if (mirrors.length === 0) return null;
  return (
    <section>
      <h2>Copied elsewhere</h2>
      <table class="kept">
        <tbody>
          {mirrors.map((mirror) => {
            const { word, more } = mirrorText(mirror);
            return (
              <tr key={mirror.id}>
                <th scope="row">
                  {mirror.id}
                  {more !== '' && <small>{more}</small>}
                </th>
                <td>{word}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}
