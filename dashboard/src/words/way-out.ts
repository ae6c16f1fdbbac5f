/** Which way out a page shows. Pure. */

import type { WatchView } from '../../../shared/contract/api.ts';
import type { Rescue } from '../../../shared/contract/forecast.ts';
import { offeredRescue } from '../../../shared/dairy/offered-rescue.ts';

/** The rescue that a chill's sentence asks for; null where it asks for none, whatever could still help. */
export function wayOut(view: WatchView, nowMs: number): Rescue | null {
  if (view.state !== 'not-on-course' && view.state !== 'missed') return null;
  return offeredRescue(view.forecast?.rescues ?? [], nowMs);
}
