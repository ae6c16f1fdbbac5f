/** The span of time that the history shows, and how pans, zooms and its address change it. Pure. */

/** Epoch ms, `toMs` not included. */
export type ViewSpan = { fromMs: number; toMs: number };

/** The shortest and the longest span that is shown: seconds, and more years than a house has had. */
export const viewSpanMsMin = 10_000;
export const viewSpanMsMax = 40 * 366 * 86_400_000;

const hourMs = 3_600_000;
const dayMs = 24 * hourMs;

/** Spans that have a name, and a button. */
export const namedSpans = [
  { name: 'Hour', spanMs: hourMs },
  { name: 'Day', spanMs: dayMs },
  { name: 'Week', spanMs: 7 * dayMs },
  { name: 'Month', spanMs: 30 * dayMs },
  { name: 'Year', spanMs: 365 * dayMs },
] as const;

/** Moves a span by a part of its own length; later is positive. */
export function panned(span: ViewSpan, parts: number): ViewSpan {
  return moved(span, Math.round((span.toMs - span.fromMs) * parts));
}

/** Moves a span by so many ms, not before 1970. */
export function moved({ fromMs, toMs }: ViewSpan, byMs: number): ViewSpan {
  const by = Math.max(byMs, -fromMs);
  return { fromMs: fromMs + by, toMs: toMs + by };
}

/** Makes a span `factor` times as long, with the instant `aboutMs` where it was; over 1 is wider. */
export function zoomed({ fromMs, toMs }: ViewSpan, factor: number, aboutMs: number): ViewSpan {
  const spanMs = toMs - fromMs;
  const newMs = Math.round(Math.min(viewSpanMsMax, Math.max(viewSpanMsMin, spanMs * factor)));
  const before = Math.round((newMs * (aboutMs - fromMs)) / spanMs);
  return moved({ fromMs: aboutMs - before, toMs: aboutMs - before + newMs }, 0);
}

/** A span of so many ms that ends at an instant. */
export function endingAt(toMs: number, spanMs: number): ViewSpan {
  return { fromMs: Math.max(0, toMs - spanMs), toMs };
}

/** Keeps a span from leaving what there is by more than half of itself: the future holds nothing. */
export function heldBack(
  span: ViewSpan,
  { firstMs, nowMs }: { firstMs: number | null; nowMs: number },
): ViewSpan {
  const half = (span.toMs - span.fromMs) / 2;
  const over = span.toMs - (nowMs + half);
  if (over > 0) return moved(span, -Math.round(over));
  const under = firstMs === null ? 0 : firstMs - half - span.fromMs;
  return under > 0 ? moved(span, Math.round(under)) : span;
}

/** What the history shows, as the page's address keeps it. */
export type HistoryPlace = {
  probe: string | null;
  /** Null while the span follows now. */
  toMs: number | null;
  spanMs: number;
  /** The second curve: which probe, and how much earlier; null where there is none. */
  beside: { probe: string; earlierMs: number } | null;
};

/** What is shown where the address says nothing: the last day. */
export const usualPlace: HistoryPlace = { probe: null, toMs: null, spanMs: dayMs, beside: null };

/** Reads the part of an address after `#history`; what cannot be read is as usual. */
export function placeOfAddress(hash: string): HistoryPlace {
  const query = new URLSearchParams(hash.replace(/^#history\??/, ''));
  const number = (name: string, most: number): number | null => {
    const text = query.get(name) ?? '';
    return /^\d{1,15}$/.test(text) && Number(text) <= most ? Number(text) : null;
  };
  const spanMs = number('span', viewSpanMsMax) ?? usualPlace.spanMs;
  const beside = query.get('beside');
  return {
    probe: query.get('probe'),
    toMs: number('to', 8e15),
    spanMs: Math.max(viewSpanMsMin, spanMs),
    beside: beside === null ? null : { probe: beside, earlierMs: number('earlier', viewSpanMsMax) ?? 0 },
  };
}

/** The address of a place. */
export function addressOfPlace({ probe, toMs, spanMs, beside }: HistoryPlace): string {
  const query = new URLSearchParams();
  if (probe !== null) query.set('probe', probe);
  if (toMs !== null) query.set('to', String(toMs));
  query.set('span', String(spanMs));
  if (beside !== null) {
    query.set('beside', beside.probe);
    query.set('earlier', String(beside.earlierMs));
  }
  return `#history?${query}`;
}
