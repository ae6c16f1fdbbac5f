import type { EventBody, EventKind, Happening } from '../../shared/contract/event.ts';

/** What a watch of any kind must have to say something. */
export type Sayer = {
  id: string;
  probe: string;
  sinceMs: number;
  latest: { atMs: number } | null;
  /** How often each code was said. */
  said: Record<string, number>;
};

/** Makes an event of a watch; its id is watch + code + ordinal, so that making it again after a crash says nothing new. */
export function sayOf<K extends EventKind>(
  watch: Sayer,
  event: { kind: K; atMs: number; body: EventBody<K>; amends?: string },
): Happening {
  const ordinal = (watch.said[event.kind] ?? 0) + 1;
  watch.said[event.kind] = ordinal;
  const toMs = watch.latest?.atMs ?? event.atMs;
  return {
    kind: event.kind,
    id: `${watch.id}/${event.kind}/${ordinal}`,
    atMs: event.atMs,
    by: { kind: 'daemon', id: 'watch' },
    about: { watch: [watch.id], probe: [watch.probe] },
    because: [{ probe: watch.probe, fromMs: Math.min(watch.sinceMs, toMs), toMs }],
    ...(event.amends === undefined ? {} : { amends: event.amends }),
    body: event.body,
  } as Happening;
}

/** The id of the last event of this kind that this watch said; null where it said none. */
export function lastSaid(watch: Sayer, kind: EventKind): string | null {
  const ordinal = watch.said[kind];
  return ordinal === undefined ? null : `${watch.id}/${kind}/${ordinal}`;
}
