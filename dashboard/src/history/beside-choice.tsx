import type { ProbeView } from '../../../shared/contract/api.ts';
import { openWall } from './calendar-marks.ts';
import type { HistoryPlace, ViewSpan } from './view-span.ts';

type Beside = HistoryPlace['beside'];

const dayMs = 86_400_000;
const spans = [
  { words: 'at the same time', earlierMs: 0 },
  { words: 'a day earlier', earlierMs: dayMs },
  { words: 'a week earlier', earlierMs: 7 * dayMs },
  { words: 'a year earlier', earlierMs: 365 * dayMs },
] as const;

/** Chooses the second curve: another probe, or another span of either. */
export function BesideChoice({
  beside,
  onChoose,
  probe,
  probes,
  span,
  zone,
}: {
  beside: Beside;
  onChoose: (beside: Beside) => void;
  probe: ProbeView;
  probes: readonly ProbeView[];
  span: ViewSpan;
  zone: string;
}) {
  const isNamed = beside !== null && spans.some(({ earlierMs }) => earlierMs === beside.earlierMs);
  const earlierMs = beside?.earlierMs ?? 0;
  const chooseProbe = (id: string) => {
    if (id === '') return onChoose(null);
    // The same curve under itself says nothing.
    onChoose({ probe: id, earlierMs: id === probe.id && earlierMs === 0 ? dayMs : earlierMs });
  };
  return (
    <fieldset class="lay-beside">
      <legend>Lay another curve beside it</legend>
      <label class="choice">
        <span>Probe</span>
        <select
          value={beside?.probe ?? ''}
          onChange={({ currentTarget }) => chooseProbe(currentTarget.value)}
        >
          <option value="">none</option>
          {probes.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </label>
      {beside !== null && (
        <>
          <label class="choice">
            <span>When</span>
            <select
              value={isNamed ? String(earlierMs) : 'date'}
              onChange={({ currentTarget: { value } }) =>
                value !== 'date' && onChoose({ ...beside, earlierMs: Number(value) })
              }
            >
              {spans
                .filter((each) => each.earlierMs > 0 || beside.probe !== probe.id)
                .map((each) => (
                  <option key={each.earlierMs} value={String(each.earlierMs)}>
                    {each.words}
                  </option>
                ))}
              {!isNamed && <option value="date">from that day on</option>}
            </select>
          </label>
          <label class="choice">
            <span>or from the day</span>
            <input
              type="date"
              value={dayText(span.fromMs - earlierMs, zone)}
              onChange={({ currentTarget: { value } }) => {
                const earlier = earlierOf(value, span, zone);
                if (earlier !== null) onChoose({ ...beside, earlierMs: earlier });
              }}
            />
          </label>
        </>
      )}
    </fieldset>
  );
}

function dayText(atMs: number, zone: string): string {
  return new Date(openWall(zone).ms(Math.max(0, atMs))).toISOString().slice(0, 10);
}

/** How much earlier a day of the calendar lies than the span's first; null for what is no day before it. */
function earlierOf(day: string, span: ViewSpan, zone: string): number | null {
  const dayMidnightMs = Date.parse(`${day}T00:00:00Z`);
  if (Number.isNaN(dayMidnightMs)) return null;
  const wallMs = openWall(zone).ms(span.fromMs);
  const earlier = wallMs - (wallMs % dayMs) - dayMidnightMs;
  return earlier > 0 ? earlier : null;
}
