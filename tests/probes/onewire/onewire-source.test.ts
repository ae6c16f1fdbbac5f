import { mkdir, mkdtemp, rename, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mockFs from 'mock-fs';
import { afterEach, describe, expect, test, vi } from 'vitest';
import { createOnewireSource } from '../../../probes/onewire/onewire-source.ts';
import { readSensor } from '../../../probes/onewire/read-sensor.ts';
import { crc8 } from '../../../probes/sensor/crc8.ts';
import { createRecordingSink, type RecordingSink } from '../../contract/recording-sink.ts';
import { describeSource, type SourceRig } from '../../contract/source-contract.ts';

const sensors = {
  '28-0000000000b1': 'bramble',
  '28-0000000000a2': 'sorrel',
  '28-0000000000c3': 'teasel',
  '28-0000000000d4': 'plum',
};
const numberOf = (probe: string) =>
  Object.entries(sensors).find(([, name]) => name === probe)?.[0] ?? 'no such sensor';

/** What Linux shows for a DS18B20 at this temperature, a sixteenth of a °C at the finest. */
function slaveText(tempC: number): string {
  const raw = tempC * 16;
  const bytes = Uint8Array.of(raw & 0xff, (raw >> 8) & 0xff, 0x4b, 0x46, 0x7f, 0xff, 0x10, 0x10);
  const hex = [...bytes, crc8(bytes)].map((byte) => byte.toString(16).padStart(2, '0')).join(' ');
  return `${hex} : crc=${hex.slice(-2)} YES\n${hex} t=${tempC * 1000}\n`;
}

/** A real folder that stands for the kernel's; files are replaced whole, as the kernel shows them. */
async function makeOnewireRig(): Promise<SourceRig> {
  const root = await mkdtemp(join(tmpdir(), 'onewire-'));
  const path = join(root, 'devices');
  for (const number of Object.keys(sensors)) {
    await mkdir(join(path, number), { recursive: true });
    // There, and nothing measured yet.
    await writeFile(join(path, number, 'temperature'), '');
  }
  let shown: Promise<void> = Promise.resolve();
  function show(probe: string, text: string): Promise<void> {
    shown = shown.then(async () => {
      await writeFile(join(root, 'next'), text);
      await rename(join(root, 'next'), join(path, numberOf(probe), 'w1_slave'));
    });
    return shown;
  }
  return {
    makeSource: () => createOnewireSource({ id: 'bus', path, everyMs: 5, sensors }),
    send: ({ probe, tempC }) => show(probe, slaveText(tempC)),
    async sendBad() {
      await show('plum', `00 00 00 00 00 00 00 00 00 : crc=00 YES\n00 00 00 00 00 00 00 00 00 t=0\n`);
      const message =
        'sensor of probe "plum" must answer more than zeros, got nine. The data line is shorted: look at its cable.';
      return { source: 'bus', probe: 'plum', code: 'SENSOR_FAULT', message };
    },
    acknowledged: () => 0,
    breakWire: () => rename(path, join(root, 'away')),
    mendWire: () => rename(join(root, 'away'), path),
    async close() {
      await shown;
      await rm(root, { recursive: true, force: true });
    },
  };
}

describeSource(
  'one-wire sensors',
  { carriesStamps: false, repeats: true, acknowledges: false, goesAway: true },
  makeOnewireRig,
);

describe('a bus as Linux shows it', () => {
  afterEach(() => mockFs.restore());

  /** Runs a source on a mocked `/sys` until it has made so many offers, then returns what its sink saw. */
  async function listen(files: Record<string, unknown>, offers: number): Promise<RecordingSink> {
    mockFs({ '/sys/bus/w1/devices': files as never });
    const sink = createRecordingSink();
    const source = createOnewireSource({ id: 'bus', path: '/sys/bus/w1/devices', everyMs: 1, sensors });
    await source.open(sink);
    const deadlineMs = performance.now() + 5000;
    while ((sink.offers.length < offers || sink.states.length === 0) && performance.now() < deadlineMs) {
      await new Promise((resolve) => setImmediate(resolve));
    }
    await source.close();
    mockFs.restore();
    return sink;
  }

  test('reads the bytes where they are shown, and the temperature alone where not', async () => {
    const sink = await listen(
      {
        w1_bus_master1: {},
        '28-0000000000b1': { w1_slave: slaveText(31.5), temperature: '12000\n' },
        '28-0000000000a2': { temperature: '4437\n' },
        '28-0000000000ff': { w1_slave: slaveText(9) },
      },
      2,
    );
    expect(sink.readings().slice(0, 2)).toEqual([
      { probe: 'bramble', tempC: 31.5, atMs: null, undated: false },
      { probe: 'sorrel', tempC: 4.437, atMs: null, undated: false },
    ]);
    expect(sink.readings().some(({ tempC }) => tempC === 9)).toBe(false);
    expect(sink.states).toEqual([
      {
        state: 'open',
        why: '2 of 4 sensors in /sys/bus/w1/devices; not there: 28-0000000000c3, 28-0000000000d4',
      },
      { state: 'closed', why: 'closed' },
    ]);
  });

  test('waits where there is no bus', async () => {
    const sink = await listen({}, 0);
    expect(sink.states[0]).toEqual({
      state: 'waiting',
      why:
        '0 of 4 sensors in /sys/bus/w1/devices; not there: ' +
        '28-0000000000b1, 28-0000000000a2, 28-0000000000c3, 28-0000000000d4',
    });
    expect(sink.offers).toEqual([]);
  });

  test('refuses a power-up value at the start and says of which probe', async () => {
    const sink = await listen({ '28-0000000000d4': { temperature: '85000\n' } }, 1);
    expect(sink.refusals()[0]).toEqual({
      source: 'bus',
      probe: 'plum',
      code: 'SENSOR_FAULT',
      message:
        'sensor of probe "plum" must come near 85 °C before it shows just that, got it at the start. ' +
        'It has lost power and begun again: look at its supply and plug.',
    });
  });
});

test('takes a failing read as the fault of the sensor', async () => {
  const root = await mkdtemp(join(tmpdir(), 'onewire-'));
  // A folder opens, but reading it fails, as a sensor that does not answer does with EIO.
  await mkdir(join(root, '28-0000000000d4', 'w1_slave'), { recursive: true });
  expect(await readSensor(root, '28-0000000000d4', '28')).toEqual({
    code: 'SENSOR_FAULT',
    rule: 'must answer, got EISDIR',
    advice: 'Look at its plug, cable and supply.',
  });
  await rm(root, { recursive: true });
});

test('refuses a jump to 85 °C in the midst of readings, and takes it on the way through', async () => {
  const rig = await makeOnewireRig();
  const sink = createRecordingSink();
  const source = rig.makeSource();
  await source.open(sink);
  const heard = () => new Set(sink.readings().map(({ tempC }) => tempC));
  const show = async (tempC: number, isTaken: boolean) => {
    const refusals = sink.refusals().length;
    await rig.send({ probe: 'plum', tempC, atMs: 0 });
    await vi.waitFor(() => {
      if (isTaken) expect(heard()).toContain(tempC);
      else expect(sink.refusals().length).toBeGreaterThan(refusals);
    });
  };
  await show(21, true);
  await show(85, false);
  expect(heard()).not.toContain(85);
  await show(84.5, true);
  await show(85, true);
  await source.close();
  await rig.close();
});

test('rejects settings that can never work', async () => {
  const source = createOnewireSource({ id: 'bus', path: '/sys', everyMs: 0, sensors: { '../28-1': 'plum' } });
  await expect(source.open(createRecordingSink())).rejects.toThrow(
    'SOURCE_SETTING: every of source "bus" must be a whole number of ms from 1, got 0. Correct it in the house file.\n' +
      'SOURCE_SETTING: sensor of source "bus" must be the number of a one-wire thermometer such as 28-0316a2795dff, ' +
      'got "../28-1". Correct it in the house file.',
  );
});
