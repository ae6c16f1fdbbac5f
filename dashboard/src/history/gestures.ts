/** Pans and zooms of a picture by pointer, wheel and keys, as changes of its span. */

import { spanUnder } from './gesture-spans.ts';
import { panned, type ViewSpan, zoomed } from './view-span.ts';

export type GestureTarget = {
  span(): ViewSpan;
  /** The plot's left and right edge within the element, px. */
  edges(): { left: number; right: number };
  change(span: ViewSpan): void;
  /** Where a person points, as an instant; null where nowhere. */
  point(atMs: number | null): void;
};

/** A press that moves less than this is a tap, px. */
const tapPx = 6;

/** How much wider a notch of a wheel makes the span. */
const wheelFactor = 1.0016;

type Finger = { x: number; startX: number };

/** Listens on an element until the answer is called. One finger pans, two zoom; the page scrolls up and down as ever. */
export function listenToGestures(element: HTMLElement, target: GestureTarget): () => void {
  const fingers = new Map<number, Finger>();
  let begun: { span: ViewSpan; anchors: number[] } | null = null;

  const instantAt = (x: number, span = target.span()): number => {
    const { left, right } = target.edges();
    return span.fromMs + ((x - left) / (right - left)) * (span.toMs - span.fromMs);
  };
  const xOf = (event: PointerEvent | WheelEvent) => event.clientX - element.getBoundingClientRect().left;
  const begin = () => {
    const span = target.span();
    begun = { span, anchors: [...fingers.values()].map(({ x }) => instantAt(x, span)) };
  };

  const down = (event: PointerEvent) => {
    if (event.pointerType === 'mouse' && event.button !== 0) return;
    element.setPointerCapture(event.pointerId);
    const x = xOf(event);
    fingers.set(event.pointerId, { x, startX: x });
    begin();
  };
  const move = (event: PointerEvent) => {
    const x = xOf(event);
    const finger = fingers.get(event.pointerId);
    if (finger === undefined) {
      if (event.pointerType === 'mouse') target.point(instantAt(x));
      return;
    }
    finger.x = x;
    if (begun === null) return;
    const span = spanUnder([...fingers.values()], begun, target.edges());
    if (span !== null) target.change(span);
  };
  const up = (event: PointerEvent) => {
    const finger = fingers.get(event.pointerId);
    fingers.delete(event.pointerId);
    if (finger !== undefined && fingers.size === 0 && Math.abs(finger.x - finger.startX) < tapPx) {
      target.point(instantAt(finger.x));
    }
    if (fingers.size > 0) begin();
    else begun = null;
  };
  const leave = (event: PointerEvent) => {
    if (event.pointerType === 'mouse' && fingers.size === 0) target.point(null);
  };
  const wheel = (event: WheelEvent) => {
    event.preventDefault();
    const isSideways = Math.abs(event.deltaX) > Math.abs(event.deltaY);
    const span = target.span();
    const { left, right } = target.edges();
    target.change(
      isSideways || event.shiftKey
        ? panned(span, (isSideways ? event.deltaX : event.deltaY) / (right - left))
        : zoomed(span, wheelFactor ** event.deltaY, instantAt(xOf(event))),
    );
  };
  element.addEventListener('pointerdown', down);
  element.addEventListener('pointermove', move);
  element.addEventListener('pointerup', up);
  element.addEventListener('pointercancel', up);
  element.addEventListener('pointerleave', leave);
  element.addEventListener('wheel', wheel, { passive: false });
  return () => {
    element.removeEventListener('pointerdown', down);
    element.removeEventListener('pointermove', move);
    element.removeEventListener('pointerup', up);
    element.removeEventListener('pointercancel', up);
    element.removeEventListener('pointerleave', leave);
    element.removeEventListener('wheel', wheel);
  };
}
