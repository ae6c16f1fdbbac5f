import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { spanOfKey, spanUnder } from '../../../dashboard/src/history/gesture-spans.ts';
import {
  addressOfPlace,
  heldBack,
  panned,
  placeOfAddress,
  usualPlace,
  viewSpanMsMax,
  viewSpanMsMin,
  zoomed,
} from '../../../dashboard/src/history/view-span.ts';

const dayMs = 86_400_000;
const noonMs = Date.UTC(2026, 3, 18, 12);
const day = { fromMs: noonMs - dayMs, toMs: noonMs };

describe('a span of the history', () => {
  it('is panned by parts of itself, and not to before 1970', () => {
    expect(panned(day, 0.5)).toEqual({ fromMs: noonMs - dayMs / 2, toMs: noonMs + dayMs / 2 });
    expect(panned({ fromMs: 1000, toMs: 5000 }, -1)).toEqual({ fromMs: 0, toMs: 4000 });
  });

  it('is zoomed about an instant, which stays where it was, between seconds and decades', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 100, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (factor, part) => {
          const aboutMs = day.fromMs + Math.round(part * dayMs);
          const next = zoomed(day, factor, aboutMs);
          const spanMs = next.toMs - next.fromMs;
          expect(spanMs).toBe(Math.round(Math.min(viewSpanMsMax, Math.max(viewSpanMsMin, dayMs * factor))));
          if (next.fromMs > 0) expect((aboutMs - next.fromMs) / spanMs).toBeCloseTo(part, 3);
        },
      ),
    );
  });

  it('is held back from the empty future and from before the first reading', () => {
    const bounds = { firstMs: noonMs - 10 * dayMs, nowMs: noonMs };
    expect(heldBack(panned(day, 3), bounds)).toEqual(panned(day, 0.5));
    expect(heldBack(panned(day, -30), bounds)).toEqual({
      fromMs: noonMs - 10.5 * dayMs,
      toMs: noonMs - 9.5 * dayMs,
    });
    expect(heldBack(day, bounds)).toEqual(day);
  });

  it('is kept in the address and read from it; what cannot be read is as usual', () => {
    const place = {
      probe: 'larder-1',
      toMs: noonMs,
      spanMs: dayMs,
      beside: { probe: 'jar', earlierMs: dayMs },
    };
    expect(placeOfAddress(addressOfPlace(place))).toEqual(place);
    expect(placeOfAddress('#history')).toEqual(usualPlace);
    expect(placeOfAddress('#history?to=soon&span=-4')).toEqual(usualPlace);
    expect(placeOfAddress('#history?span=5').spanMs).toBe(viewSpanMsMin);
  });
});

describe('fingers on the picture', () => {
  const edges = { left: 100, right: 500 };

  it('pan by one: the instant under it goes with it', () => {
    const begun = { span: day, anchors: [noonMs - dayMs / 2] };
    expect(spanUnder([{ x: 400 }], begun, edges)).toEqual({
      fromMs: noonMs - 1.25 * dayMs,
      toMs: noonMs - 0.25 * dayMs,
    });
  });

  it('zoom by two: each stays on its instant', () => {
    const begun = { span: day, anchors: [noonMs - 0.75 * dayMs, noonMs - 0.25 * dayMs] };
    const next = spanUnder([{ x: 250 }, { x: 350 }], begun, edges);
    expect(next).toEqual({ fromMs: noonMs - 1.5 * dayMs, toMs: noonMs + 0.5 * dayMs });
    expect(spanUnder([{ x: 300 }, { x: 305 }], begun, edges)).toBeNull();
  });
});

describe('keys on the picture', () => {
  const bounds = { firstMs: noonMs - 10 * dayMs, nowMs: noonMs + 1000 };
  it.each([
    ['ArrowLeft', panned(day, -0.25)],
    ['ArrowRight', panned(day, 0.25)],
    ['PageUp', panned(day, -1)],
    ['End', { fromMs: noonMs + 1000 - dayMs, toMs: noonMs + 1000 }],
    ['Home', { fromMs: noonMs - 10 * dayMs, toMs: noonMs - 9 * dayMs }],
    ['+', zoomed(day, 1 / 1.6, noonMs - dayMs / 2)],
    ['-', zoomed(day, 1.6, noonMs - dayMs / 2)],
    ['q', null],
  ])('go by %s', (key, span) => {
    expect(spanOfKey(key, day, bounds)).toEqual(span);
  });
});
