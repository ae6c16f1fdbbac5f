import { chestFreezer, larderFridge, setUpColdBox } from './cold-box.ts';
import { airAt } from './fluids.ts';
import { networkOf, reservoir, tempC } from './heat-network.ts';
import { type Medium, startJarRounds } from './jar-round.ts';
import { type DemoProbe, type DemoProbeId, larkfell } from './larkfell.ts';
import { setUpPot } from './pot.ts';
import { openRandom } from './random.ts';
import { roomC } from './room-air.ts';
import { lagS, makeSensor, type Sensor, steelTube } from './sensor.ts';

/** A reading of a simulated probe, °C as read. */
export type DemoReading = { probe: DemoProbeId; atMs: number; tempC: number };

export type DemoHouse = {
  readonly probes: readonly DemoProbe[];
  /**
   * Returns what the probes read since the last call and up to an instant, in order of instants, whole
   * milliseconds, each probe's strictly rising; none is younger than `atMs`. Where the house is far behind,
   * one call goes only part of the way (`readingsMax`, `callSpanMax`) and the next goes on. An instant before
   * that of an earlier call gives nothing.
   */
  readingsUntil(atMs: number): DemoReading[];
};

/** A call returns no more readings than this; the rest comes with the next call. */
export const readingsMax = 2_000;
/** A call moves the house on by no more than this, so that a machine that slept for a week catches up in steps of some 30 ms. */
export const callSpanMax = 2 * 3_600_000;
/** Readings that would be older than this are not made: after a long sleep of the machine the probes have a gap. */
export const catchUpMax = 3_600_000;

/** The first readings are this much older than the start. */
export const demoPastMs = 24 * 60_000;
/** The jar in the ice tub has had its milk for this long at the start, the one in the freezer a little longer. */
const jarsInMs = { 'jar-1': 11 * 60_000, 'jar-2': 14 * 60_000 } as const;
/** Physics runs unheard for this long before the first reading, so that fridge and freezer are in their stride. */
const settlingMs = 40 * 60_000;

type Voice = { probe: DemoProbe & { id: DemoProbeId }; sensor: Sensor; medium: () => Medium; nextMs: number };

/**
 * Makes Larkfell with jars already some minutes in: one on course in an ice tub, one in the chest freezer that
 * will not make the hour. `seed` is a whole number; the same seed and start give the same readings.
 */
export function makeDemoHouse(o: { seed: number; startMs: number }): DemoHouse {
  const world = makeWorld(o);
  const voices = world.voices;
  let secondMs = o.startMs - demoPastMs - settlingMs;
  const stepTo = (atMs: number) => {
    for (; secondMs + 1000 <= atMs; secondMs += 1000) {
      world.step(secondMs);
      for (const { sensor, medium } of voices) {
        const { bodyC, lagS: lag } = medium();
        sensor.follow({ mediumC: bodyC, lagS: lag, spanS: 1 });
      }
    }
  };
  return {
    probes: larkfell.probes,
    readingsUntil: (atMs) => {
      const toMs = Math.min(atMs, secondMs + callSpanMax);
      const readings: DemoReading[] = [];
      while (readings.length < readingsMax) {
        const voice = voices.reduce((first, other) => (other.nextMs < first.nextMs ? other : first));
        const { probe, sensor, nextMs } = voice;
        if (nextMs > toMs) break;
        stepTo(nextMs);
        if (nextMs >= atMs - catchUpMax)
          readings.push({ probe: probe.id, atMs: nextMs, tempC: sensor.read() });
        voice.nextMs += world.pauseMs(probe.intervalMs);
      }
      return readings;
    },
  };
}

/** Everything that stands in the house, its physics second by second, and what each probe hangs in. */
function makeWorld(o: { seed: number; startMs: number }) {
  const air = airAt(larkfell.heightM);
  let nowMs = o.startMs - demoPastMs - settlingMs;
  const room = reservoir(() => roomC({ meanC: 18, swingC: 1.5, warmestHourUtc: 15 }, nowMs));
  const fridge = setUpColdBox(larderFridge, room);
  const freezer = setUpColdBox(chestFreezer, room);
  // Empty but for a rinse: it waits for enough milk.
  const pot = setUpPot({ volumeL: 0.1, copperKg: 4, diameterM: 0.28, lid: true, startC: 18, room, air });
  const around = { room, air, freezerAir: freezer.air };
  const jarOf = (id: 'jar-1' | 'jar-2', place: 'ice-tub' | 'freezer') =>
    startJarRounds({
      place,
      volumeL: 0.95,
      firstMs: o.startMs - jarsInMs[id],
      around,
      random: openRandom(o.seed, `${id} milk`),
    });
  const jars = { 'jar-1': jarOf('jar-1', 'ice-tub'), 'jar-2': jarOf('jar-2', 'freezer') };
  const advance = networkOf([...fridge.links, ...freezer.links, ...pot.links]);
  const doors = openRandom(o.seed, 'doors');
  let fridgeShutsMs = 0;
  const step = (atMs: number) => {
    nowMs = atMs;
    // Somebody opens the fridge once in forty minutes on average, for 5 to 30 s.
    if (doors.uniform() < 1 / 2400) fridgeShutsMs = atMs + 5_000 + 25_000 * doors.uniform();
    fridge.look(atMs < fridgeShutsMs);
    freezer.look(jars['jar-2'].doorOpen(atMs));
    advance(1);
    for (const jar of Object.values(jars)) jar.step(atMs);
  };
  const media: Record<DemoProbeId, () => Medium> = {
    'jar-1': jars['jar-1'].medium,
    'jar-2': jars['jar-2'].medium,
    'larder-fridge': () => ({ bodyC: tempC(fridge.air), lagS: lagS.air }),
    'chest-freezer': () => ({ bodyC: tempC(freezer.air), lagS: lagS.air }),
    kitchen: () => ({ bodyC: tempC(room), lagS: lagS.air }),
    'copper-pot': () => ({ bodyC: tempC(pot.milk), lagS: lagS.liquid }),
  };
  const rhythm = openRandom(o.seed, 'rhythm');
  const voices = larkfell.probes.map((probe): Voice => {
    const random = openRandom(o.seed, `${probe.id} sensor`);
    const build = { ...steelTube, biasC: 0.08 * random.gaussian() };
    const sensor = makeSensor(build, { startC: media[probe.id]().bodyC, random });
    const offsetMs = Math.floor(probe.intervalMs * rhythm.uniform());
    return { probe, sensor, medium: media[probe.id], nextMs: o.startMs - demoPastMs + offsetMs };
  });
  // A microcontroller's loop: its interval, a few milliseconds late.
  const pauseMs = (intervalMs: number) => intervalMs + Math.floor(8 * rhythm.uniform());
  return { step, voices, pauseMs };
}
