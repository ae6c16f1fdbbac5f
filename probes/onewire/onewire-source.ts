/** Readings from one-wire thermometers, as Linux shows them under `/sys/bus/w1/devices`. */
import { createLossyTakes, type LossyTakes } from '../lossy-takes.ts';
import { checkStep, type Neighbour } from '../sensor/plausible-step.ts';
import { type SensorFamily, sensorFamilies } from '../sensor/scratchpad.ts';
import type { SensorValue } from '../sensor/sensor-value.ts';
import type { Source, SourceSink, SourceState } from '../source.ts';
import { refused, shown } from '../wire/decoded.ts';
import { readSensor } from './read-sensor.ts';

/** Where the kernel shows sensors and which of them are probes. */
export type OnewireSettings = {
  /** The source's id. */
  id: string;
  /** The folder of the bus, `/sys/bus/w1/devices` but for tests. */
  path: string;
  /** How often each sensor is read, in ms; a round that takes longer is followed by the next at once. */
  everyMs: number;
  /** The number of each sensor (its folder's name) and the probe that it is; others are left alone. */
  sensors: Readonly<Record<string, string>>;
};

/**
 * Returns the source of a one-wire bus. Sensors are read one after the other, since the bus serves one at
 * a time and a waiting read holds a thread. A sensor that is not there is named in the source's state; one
 * that answers wrongly is refused, and both are read again in the next round. `open` rejects only on
 * settings that can never work; `close` does not wait for a read under way.
 */
export function createOnewireSource(settings: OnewireSettings): Source {
  const { id, everyMs } = settings;
  const sensors = Object.entries(settings.sensors);
  const neighbours = new Map<string, Neighbour>();
  let timer: NodeJS.Timeout | undefined;
  let sink: SourceSink | null = null;
  let toldWhy: string | null = null;
  let isClosed = false;

  async function round(takes: LossyTakes): Promise<void> {
    const beganMs = performance.now();
    const missing: string[] = [];
    for (const [number, probe] of sensors) {
      const value = await readSensor(settings.path, number, familyOf(number));
      if (isClosed) return;
      if (value === 'missing') missing.push(number);
      else if (value !== 'measuring') take(takes, probe, value);
    }
    tellPresence(missing);
    timer = setTimeout(() => round(takes), Math.max(0, beganMs + everyMs - performance.now()));
  }

  function take(takes: LossyTakes, probe: string, read: SensorValue): void {
    const nowMs = performance.now();
    const value = checkStep(read, neighbours.get(probe) ?? null, nowMs);
    if ('code' in value) {
      const message = `sensor of probe ${shown(probe)} ${value.rule}. ${value.advice}`;
      takes.offer(refused({ source: id, probe }, value.code, message));
      return;
    }
    neighbours.set(probe, { tempC: value.tempC, atMs: nowMs });
    takes.offer({ readings: [{ probe, tempC: value.tempC, atMs: null, undated: false }], refusals: [] });
  }

  /** The state is told when it changes, not in each round. */
  function tellPresence(missing: readonly string[]): void {
    const state = presence(sensors.length, missing, settings.path);
    if (state.why !== toldWhy) sink?.tell(id, state);
    toldWhy = state.why;
  }

  return {
    id,
    async open(into) {
      const faults = faultsOf(settings);
      if (faults.length > 0) throw new Error(faults.join('\n'));
      sink = into;
      // Not awaited: a bus of many sensors takes a second for each.
      void round(createLossyTakes(id, into));
    },
    async close() {
      isClosed = true;
      clearTimeout(timer);
      sink?.tell(id, { state: 'closed', why: 'closed' });
    },
  };
}

function presence(count: number, missing: readonly string[], path: string): SourceState {
  const there = count - missing.length;
  const absent = missing.length === 0 ? '' : `; not there: ${missing.join(', ')}`;
  return { state: there > 0 ? 'open' : 'waiting', why: `${there} of ${count} sensors in ${path}${absent}` };
}

function familyOf(number: string): SensorFamily {
  const family = sensorFamilies.find((known) => number.startsWith(`${known}-`));
  if (family === undefined) throw new Error(`sensor ${number} must have been checked on opening`);
  return family;
}

function faultsOf({ id, everyMs, sensors }: OnewireSettings): string[] {
  const faults: string[] = [];
  const form = (thing: string, rule: string, value: unknown) =>
    `SOURCE_SETTING: ${thing} of source ${shown(id)} must be ${rule}, got ${shown(value)}. ` +
    'Correct it in the house file.';
  if (!Number.isInteger(everyMs) || everyMs < 1)
    faults.push(form('every', 'a whole number of ms from 1', everyMs));
  for (const number of Object.keys(sensors)) {
    // Also what keeps a name from leading out of the folder.
    if (/^(10|22|28|3b|42)-[0-9a-f]{12}$/.test(number)) continue;
    faults.push(form('sensor', 'the number of a one-wire thermometer such as 28-0316a2795dff', number));
  }
  return faults;
}
