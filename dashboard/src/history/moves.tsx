import { stepFactor, stepPart } from './gesture-spans.ts';
import { endingAt, namedSpans, panned, type ViewSpan, zoomed } from './view-span.ts';

/** The buttons under the picture: spans by name, and steps for who does not drag. */
export function Moves({
  bounds: { firstMs, nowMs },
  onSpan,
  span,
}: {
  bounds: { firstMs: number | null; nowMs: number };
  onSpan: (span: ViewSpan) => void;
  span: ViewSpan;
}) {
  const spanMs = span.toMs - span.fromMs;
  const middleMs = (span.fromMs + span.toMs) / 2;
  const endMs = Math.min(span.toMs, nowMs);
  const allMs = firstMs === null ? null : Math.max(60_000, nowMs - firstMs);
  return (
    <div class="moves">
      <fieldset class="moves-named">
        <legend class="unseen">How long a span</legend>
        {namedSpans.map((named) => (
          <button
            key={named.name}
            type="button"
            class={named.spanMs === spanMs ? 'chosen' : ''}
            aria-pressed={named.spanMs === spanMs}
            onClick={() => onSpan(endingAt(endMs, named.spanMs))}
          >
            {named.name}
          </button>
        ))}
        <button
          type="button"
          disabled={allMs === null}
          onClick={() => allMs !== null && onSpan(endingAt(nowMs, allMs))}
        >
          All
        </button>
      </fieldset>
      <fieldset class="moves-steps">
        <legend class="unseen">Move the picture</legend>
        <button type="button" onClick={() => onSpan(panned(span, -stepPart * 2))}>
          Earlier
        </button>
        <button type="button" onClick={() => onSpan(panned(span, stepPart * 2))}>
          Later
        </button>
        <button type="button" onClick={() => onSpan(zoomed(span, 1 / stepFactor, middleMs))}>
          Closer
        </button>
        <button type="button" onClick={() => onSpan(zoomed(span, stepFactor, middleMs))}>
          Wider
        </button>
        <button type="button" onClick={() => onSpan(endingAt(nowMs, spanMs))}>
          Now
        </button>
      </fieldset>
      <p class="note">
        Drag to move, pinch or turn the wheel to come closer. Keys: arrows, + and −, Page Up, Page Down, Home,
        End.
      </p>
    </div>
  );
}
