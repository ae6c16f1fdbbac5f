/** What fingers and keys make of a span. Pure. */

import { panned, type ViewSpan, zoomed } from './view-span.ts';

/** How much one press of a key or button zooms, and what part of the span it pans. */
export const stepFactor = 1.6;
export const stepPart = 0.25;

/** The span under which each finger lies on the instant that it was put on; null where two lie on one. */
export function spanUnder(
  fingers: readonly { x: number }[],
  { span, anchors }: { span: ViewSpan; anchors: readonly number[] },
  { left, right }: { left: number; right: number },
): ViewSpan | null {
  const [one, two] = fingers;
  const [first, second] = anchors;
  if (one === undefined || first === undefined) return null;
  const spanMs = span.toMs - span.fromMs;
  if (two === undefined || second === undefined) {
    const fromMs = first - ((one.x - left) / (right - left)) * spanMs;
    return { fromMs: Math.max(0, Math.round(fromMs)), toMs: Math.max(spanMs, Math.round(fromMs + spanMs)) };
  }
  const apartPx = two.x - one.x;
  const apartMs = second - first;
  if (Math.abs(apartPx) < 12 || apartPx * apartMs <= 0) return null;
  const wantedMs = (apartMs / apartPx) * (right - left);
  // Through the zoom's own bounds, about the middle of the two fingers.
  const middleMs = (first + second) / 2;
  const middlePart = ((one.x + two.x) / 2 - left) / (right - left);
  const wide = zoomed(span, wantedMs / spanMs, span.fromMs);
  const wideMs = wide.toMs - wide.fromMs;
  const fromMs = Math.max(0, Math.round(middleMs - middlePart * wideMs));
  return { fromMs, toMs: fromMs + wideMs };
}

/** What a key does to a span; null where it does nothing to it. */
export function spanOfKey(
  key: string,
  span: ViewSpan,
  bounds: { firstMs: number | null; nowMs: number },
): ViewSpan | null {
  const middleMs = (span.fromMs + span.toMs) / 2;
  const spanMs = span.toMs - span.fromMs;
  switch (key) {
    case 'ArrowLeft':
      return panned(span, -stepPart);
    case 'ArrowRight':
      return panned(span, stepPart);
    case 'PageUp':
      return panned(span, -1);
    case 'PageDown':
      return panned(span, 1);
    case '+':
    case '=':
    case 'ArrowUp':
      return zoomed(span, 1 / stepFactor, middleMs);
    case '-':
    case 'ArrowDown':
      return zoomed(span, stepFactor, middleMs);
    case 'End':
      return { fromMs: bounds.nowMs - spanMs, toMs: bounds.nowMs };
    case 'Home':
      return bounds.firstMs === null ? null : { fromMs: bounds.firstMs, toMs: bounds.firstMs + spanMs };
    default:
      return null;
  }
}
