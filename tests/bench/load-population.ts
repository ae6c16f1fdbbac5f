/** What 200 probes of a large house say, for the bench of the intake: the same messages for the same seed. */
import { readingTopic } from '../../probes/mqtt/reading-message.ts';
import { chestFreezer, larderFridge, setUpColdBox } from '../../probes/simulated/cold-box.ts';
import { airAt } from '../../probes/simulated/fluids.ts';
import { networkOf, reservoir, tempC } from '../../probes/simulated/heat-network.ts';
import { type JarRounds, type Medium, startJarRounds } from '../../probes/simulated/jar-round.ts';
import { openRandom } from '../../probes/simulated/random.ts';
import { roomC } from '../../probes/simulated/room-air.ts';
import { senmlOf } from '../../probes/simulated/senml-pack.ts';
import { lagS, makeSensor, steelTube } from '../../probes/simulated/sensor.ts';

/** One stamped reading as a message; `number` counts from 0 and tells probe and instant. */
export type LoadMessage = { number: number; probe: string; atMs: number; topic: string; payload: string };

export type LoadOptions = {
  house: string;
  probes: number;
  /** How many of the probes are in cooling jars; the others hang in fridges, freezers and rooms. */
  chills: number;
  count: number;
  /** Epoch ms of the first round of readings. */
  startMs: number;
  seed: number;
  /** Between two readings of one probe, a multiple of 1,000; 5 s unless given. */
  intervalMs?: number;
};

/** The milk comes this long after the start, so that a chill is seen to begin; it is open for two hours from then on. */
export const milkAfterMs = 60_000;

/** Returns the ids of the probes, those in jars first: `load-0`, `load-1`, … */
export function loadProbeIds(probes: number): string[] {
  return Array.from({ length: probes }, (_, index) => `load-${index}`);
}

/**
 * Yields messages of one reading each, in rounds in which every probe speaks once, each probe's instants
 * rising. The last instant is `startMs` + (count / probes) · `intervalMs`: the caller starts early enough.
 */
export function* loadMessages(o: LoadOptions): Generator<LoadMessage> {
  const intervalMs = o.intervalMs ?? 5_000;
  const world = makeWorld(o);
  const voices = loadProbeIds(o.probes).map((probe, index) => {
    const random = openRandom(o.seed, probe);
    const medium = world.media[index < o.chills ? index : o.chills + (index % 3)] as () => Medium;
    const build = { ...steelTube, biasC: 0.1 * random.gaussian() };
    const sensor = makeSensor(build, { startC: medium().bodyC, random });
    return { probe, medium, sensor, topic: readingTopic(o.house, probe) };
  });
  for (let number = 0, roundMs = o.startMs; number < o.count; roundMs += intervalMs) {
    for (const [index, { probe, medium, sensor, topic }] of voices.entries()) {
      if (number >= o.count) return;
      const { bodyC, lagS: lag } = medium();
      sensor.follow({ mediumC: bodyC, lagS: lag, spanS: intervalMs / 1000 });
      const atMs = roundMs + Math.floor((index * intervalMs) / o.probes);
      const payload = senmlOf([{ probe, atMs, tempC: sensor.read() }]);
      yield { number, probe, atMs, topic, payload };
      number += 1;
    }
    world.stepTo(roundMs + intervalMs);
  }
}

/** The jars in one chest freezer, then a fridge, a freezer and a room that all other probes share. */
function makeWorld(o: LoadOptions) {
  let nowMs = o.startMs;
  const air = airAt(1420);
  const room = reservoir(() => roomC({ meanC: 18, swingC: 1.5, warmestHourUtc: 15 }, nowMs));
  const fridge = setUpColdBox(larderFridge, room);
  const freezer = setUpColdBox(chestFreezer, room);
  const advance = networkOf([...fridge.links, ...freezer.links]);
  const jars = Array.from({ length: o.chills }, (_, index): JarRounds => {
    const firstMs = o.startMs + milkAfterMs + index * 1_000;
    const random = openRandom(o.seed, `milk ${index}`);
    const around = { room, air, freezerAir: freezer.air };
    return startJarRounds({ place: 'freezer', volumeL: 0.95, firstMs, around, random });
  });
  const hung = (body: typeof room) => () => ({ bodyC: tempC(body), lagS: lagS.air });
  const media = [...jars.map((jar) => jar.medium), hung(fridge.air), hung(freezer.air), hung(room)];
  const stepTo = (atMs: number) => {
    for (; nowMs < atMs; nowMs += 1000) {
      fridge.look(false);
      freezer.look(false);
      advance(1);
      for (const jar of jars) jar.step(nowMs);
    }
  };
  return { media, stepTo };
}
