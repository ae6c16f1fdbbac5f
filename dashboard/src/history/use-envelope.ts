import { useEffect, useRef, useState } from 'preact/hooks';
import type { HistoryBucket, HistoryView, Notice } from '../../../shared/contract/api.ts';
import type { KeptSpan, LateStretch, LateView } from '../../../shared/contract/export.ts';
import { askJson } from '../feed/ask.ts';
import { type Gap, snapOf } from './envelope.ts';
import type { ViewSpan } from './view-span.ts';

/** The most buckets that are asked for: two a pixel of a wide picture and its margins. */
const pointsMax = 1_500;

/** How long a span must stand before it is asked for, ms: a drag changes it many times a second. */
const stillMs = 90;

export type Held = {
  probe: string;
  span: ViewSpan;
  buckets: readonly HistoryBucket[];
  /** Stretches whose readings the house could not read. */
  damaged: readonly Gap[];
  askedSpan: ViewSpan;
};

export type Asked = { held: Held | null; trouble: boolean };

/**
 * A probe's buckets over a span and half as much on both sides, so that a pan has something to show at once;
 * what was held before stays until the answer is there. `again` asks anew, for what is new at now.
 */
export function useEnvelope(
  probe: string | null,
  span: ViewSpan,
  { plotPx, again }: { plotPx: number; again: number },
): Asked {
  const [asked, setAsked] = useState<Asked>({ held: null, trouble: false });
  const turn = useRef(0);
  const { fromMs, toMs } = span;
  useEffect(() => {
    if (probe === null || plotPx <= 0) return;
    turn.current += 1;
    const mine = turn.current;
    const timer = setTimeout(async () => {
      const half = Math.round((toMs - fromMs) / 2);
      const wide = { fromMs: Math.max(0, fromMs - half), toMs: toMs + half };
      const points = Math.min(pointsMax, Math.round(plotPx * 1.5));
      const snap = snapOf((wide.toMs - wide.fromMs) / points);
      const query = `from=${wide.fromMs}&to=${wide.toMs}&points=${points}&snap=${snap}`;
      try {
        const { buckets, damaged = [] } = await askJson<HistoryView>(
          `api/history/${encodeURIComponent(probe)}?${query}`,
        );
        if (mine === turn.current) {
          setAsked({
            held: { probe, span: wide, buckets, damaged, askedSpan: { fromMs, toMs } },
            trouble: false,
          });
        }
      } catch {
        if (mine === turn.current) setAsked(({ held }) => ({ held, trouble: true }));
      }
    }, stillMs);
    return () => clearTimeout(timer);
  }, [probe, fromMs, toMs, plotPx, again]);
  return probe === null || asked.held?.probe !== probe ? { ...asked, held: null } : asked;
}

/** The most notices of a span that are shown; a longer list says nothing more on a picture. */
export const noticesShownMax = 200;

/** What was said to people within a span, newest first; what was held before stays until the answer is there. */
export function useNotices({ fromMs, toMs }: ViewSpan, again: number): readonly Notice[] {
  const [notices, setNotices] = useState<readonly Notice[]>([]);
  useEffect(() => {
    let isMine = true;
    const timer = setTimeout(async () => {
      const query = `from=${fromMs}&to=${toMs}&limit=${noticesShownMax}`;
      const answer = await askJson<{ notices: Notice[] }>(`api/notices?${query}`).catch(() => null);
      if (isMine && answer !== null) setNotices(answer.notices);
    }, stillMs);
    return () => {
      isMine = false;
      clearTimeout(timer);
    };
  }, [fromMs, toMs, again]);
  return notices;
}

/** Where readings of a span came late; nothing where the span is too long to look through, or until that is known. */
export function useLate(probe: string, { fromMs, toMs }: ViewSpan, again: number): readonly LateStretch[] {
  const [late, setLate] = useState<readonly LateStretch[]>([]);
  useEffect(() => {
    let isMine = true;
    const timer = setTimeout(async () => {
      const path = `api/history/${encodeURIComponent(probe)}/late?from=${fromMs}&to=${toMs}`;
      const answer = await askJson<LateView>(path).catch(() => null);
      if (isMine && answer !== null) setLate(answer.stretches ?? []);
    }, lateStillMs);
    return () => {
      isMine = false;
      clearTimeout(timer);
    };
  }, [probe, fromMs, toMs, again]);
  return late;
}

/** Looking through readings costs more than asking for buckets: it waits until a drag is over. */
const lateStillMs = 350;

/** When the first reading of a probe was; null until that is known, or where it has none. */
export function useFirstMs(probe: string | null): number | null {
  const [firstMs, setFirstMs] = useState<number | null>(null);
  useEffect(() => {
    setFirstMs(null);
    if (probe === null) return;
    let isMine = true;
    void askJson<KeptSpan>(`api/history/${encodeURIComponent(probe)}/kept`)
      .then((kept) => isMine && setFirstMs(kept.firstMs))
      .catch(() => {});
    return () => {
      isMine = false;
    };
  }, [probe]);
  return firstMs;
}
