/** Which way out a page shows. Pure. */

import type { WatchView } from '../../../shared/contract/api.ts';
import type { Rescue } from '../../../shared/contract/forecast.ts';
import { offeredRescue } from '../../../shared/dairy/offered-rescue.ts';

/** The rescue that a chill's sentence asks for; null where it asks for none, whatever could still help. */
export function wayOut(view: WatchView, nowMs: number): Rescue | null {
  if (view.state !== 'not-on-course' && view.state !== 'missed') return null;
  return offeredRescue(view.forecast?.rescues ?? [], nowMs);
}

/** The ways out beside the one that is asked for, quickest first; none where none is asked for. */
export function otherWays(view: WatchView, nowMs: number): Rescue[] {
  const offered = wayOut(view, nowMs);
  if (offered === null) return [];
  return (view.forecast?.rescues ?? []).filter(({ kind }) => kind !== offered.kind);
}
