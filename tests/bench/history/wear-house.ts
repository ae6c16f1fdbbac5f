/** A house of eight probes at one reading a second, for what a day of it writes: four keeps, a chill, three rooms. */
import { openRandom } from '../../../probes/simulated/random.ts';
import { houseOf } from '../../daemon/open-test-house.ts';

const minuteMs = 60_000;
const hourMs = 60 * minuteMs;

export const wearHouse = houseOf(`version: 1
house: { name: Larkfell, height: 1420 m, zone: UTC, units: F }
places:
  - { id: larder, name: Larder fridge, kind: fridge, around: larder-air }
  - { id: back, name: Back fridge, kind: fridge, around: back-air }
  - { id: chest, name: Chest freezer, kind: freezer, around: chest-air }
  - { id: upright, name: Upright freezer, kind: freezer, around: upright-air }
  - { id: ice-tub, name: Ice tub, kind: ice-bath, temp: 32 F }
  - { id: kitchen, name: Kitchen, kind: room }
vessels: [{ id: quart-jar, name: Quart jar, kind: jar, material: glass, volume: 0.95 L }]
probes:
  - { id: larder-air, name: Larder fridge, place: larder, uncertainty: 0.5 C }
  - { id: back-air, name: Back fridge, place: back, uncertainty: 0.5 C }
  - { id: chest-air, name: Chest freezer, place: chest, uncertainty: 0.5 C }
  - { id: upright-air, name: Upright freezer, place: upright, uncertainty: 0.5 C }
  - { id: jar, name: Bramble, place: ice-tub, vessel: quart-jar, uncertainty: 0.2 C }
  - { id: kitchen-1, name: Kitchen, place: kitchen, uncertainty: 0.5 C }
  - { id: kitchen-2, name: Bench, place: kitchen, uncertainty: 0.5 C }
  - { id: kitchen-3, name: Window, place: kitchen, uncertainty: 0.5 C }
broker: { port: 0 }
http: { port: 0 }
clock: { trust: always }
`);

/** When the milk comes into the jar and out again, after the beginning. */
export const milkIn = { fromMs: 30 * minuteMs, toMs: 105 * minuteMs } as const;

/** Compressors: their mean, half their swing, °C, and their cycle. */
const boxes: Record<string, { meanC: number; swingC: number; cycleMin: number }> = {
  'larder-air': { meanC: 2.6, swingC: 1.2, cycleMin: 41 },
  'back-air': { meanC: 2.2, swingC: 1.4, cycleMin: 33 },
  'chest-air': { meanC: -18, swingC: 1.5, cycleMin: 57 },
  'upright-air': { meanC: -19, swingC: 2, cycleMin: 47 },
};

export type WearReading = { probe: string; receivedMs: number; tempC: number };

/** Each probe's readings of so many seconds in the order of receipt; every probe has its place in the second. */
export function* wearReadings(seed: number, startMs: number, seconds: number): Generator<WearReading> {
  const random = openRandom(seed, 'wear');
  const probes = wearHouse.probes.map(({ id }) => id);
  for (let second = 0; second < seconds; second++) {
    for (const [place, probe] of probes.entries()) {
      const sinceMs = second * 1_000 + place * 113 + Math.floor(random.uniform() * 9);
      const tempC = Math.round((levelC(probe, sinceMs) + 0.035 * random.gaussian()) * 16) / 16;
      yield { probe, receivedMs: startMs + sinceMs, tempC };
    }
  }
}

function levelC(probe: string, sinceMs: number): number {
  const box = boxes[probe];
  const hours = sinceMs / hourMs;
  if (box !== undefined) {
    return (
      box.meanC +
      box.swingC * Math.sin((2 * Math.PI * sinceMs) / minuteMs / box.cycleMin) +
      0.2 * Math.sin(hours / 4)
    );
  }
  const roomC = 19 + 1.5 * Math.sin(hours / 4);
  if (probe !== 'jar') return roomC;
  const lag = (from: number, to: number, spanMs: number, tauMin: number) =>
    to + (from - to) * Math.exp(-spanMs / minuteMs / tauMin);
  if (sinceMs < milkIn.fromMs) return roomC;
  const inMs = Math.min(sinceMs, milkIn.toMs) - milkIn.fromMs;
  const milkC = lag(35, 0.4, inMs, 17);
  // The probe lags behind what it is in, a quarter of a minute in milk and more in air.
  if (sinceMs < milkIn.toMs) return lag(roomC, milkC, inMs, 0.25);
  return lag(milkC, roomC, sinceMs - milkIn.toMs, 1.5);
}
