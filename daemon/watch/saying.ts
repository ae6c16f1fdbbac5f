import type { EventBody, EventKind, Happening } from '../../shared/contract/event.ts';
import type { Chill } from './chill.ts';

/** Makes an event of a watch; its id is watch + code + ordinal, so that making it again after a crash says nothing new. */
export function sayOfChill<K extends EventKind>(
  chill: Chill,
  event: { kind: K; atMs: number; body: EventBody<K>; amends?: string },
): Happening {
  const ordinal = (chill.said[event.kind] ?? 0) + 1;
  chill.said[event.kind] = ordinal;
  const toMs = chill.latest?.atMs ?? event.atMs;
  return {
    kind: event.kind,
    id: `${chill.id}/${event.kind}/${ordinal}`,
    atMs: event.atMs,
    by: { kind: 'daemon', id: 'watch' },
    about: { watch: [chill.id], probe: [chill.probe] },
    because: [{ probe: chill.probe, fromMs: Math.min(chill.sinceMs, toMs), toMs }],
    ...(event.amends === undefined ? {} : { amends: event.amends }),
    body: event.body,
  } as Happening;
}

/** The id of the last event of this kind that this chill said; null where it said none. */
export function lastSaid(chill: Chill, kind: EventKind): string | null {
  const ordinal = chill.said[kind];
  return ordinal === undefined ? null : `${chill.id}/${kind}/${ordinal}`;
}
