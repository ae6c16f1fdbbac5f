/** Runs a played house through the watching, and hands back what was said of it. */
import { drive } from '../../../daemon/watch/drive.ts';
import type { WatchRules } from '../../../daemon/watch/rules.ts';
import { openWatching, type Watching } from '../../../daemon/watch/step.ts';
import type { Happening } from '../../../shared/contract/event.ts';
import { type House, limitC, type ProbeIn } from './house.ts';

export type Watched = {
  events: Happening[];
  watching: Watching;
  readings: number;
  spentMs: number;
  stateBytesMost: number;
};

/** The house file that stands behind a played house. */
export function rulesFor(probeIn: ProbeIn, volumeL: number, withFreezer: boolean): WatchRules {
  const jar = probeIn === 'jar';
  const probe = (measures: string | null) => ({
    place: measures === null ? 'fridge' : null,
    volumeL: measures === null ? volumeL : null,
    material: null,
    uncertaintyC: 0.5,
    measures,
  });
  return {
    chill: { limitC, spanMs: 3_600_000, guarded: true },
    places: { fridge: { kind: 'fridge', aroundC: null }, freezer: { kind: 'freezer', aroundC: null } },
    probes: { fridge: probe(jar ? null : 'fridge'), ...(withFreezer ? { freezer: probe('freezer') } : {}) },
    startsByItself: true,
  };
}

export function watchHouse(house: House, options: { probeIn: ProbeIn; withFreezer: boolean }): Watched {
  const rules = rulesFor(options.probeIn, house.volumeL, options.withFreezer);
  const watching = openWatching();
  const events: Happening[] = [];
  let inputSeq = 0;
  let stateBytesMost = 0;
  const startedMs = performance.now();
  for (const { probe, atMs, tempC } of house.readings) {
    if (probe === 'freezer' && !options.withFreezer) continue;
    inputSeq += 1;
    const reading = { probe, atMs, tempC, flags: 0 };
    for (const event of drive(watching, { inputSeq, receivedMs: atMs, kind: 'reading', reading }, rules))
      events.push(event);
    if (inputSeq % 20_000 === 0) {
      const keep = watching.lanes.get('fridge')?.keep ?? null;
      stateBytesMost = Math.max(stateBytesMost, JSON.stringify(keep).length);
    }
  }
  return { events, watching, readings: inputSeq, spentMs: performance.now() - startedMs, stateBytesMost };
}
