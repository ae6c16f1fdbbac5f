import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { createSerialSource } from '../../../probes/serial/serial-source.ts';
import { createRecordingSink, type RecordingSink } from '../../contract/recording-sink.ts';
import { describeSource, type SourceRig } from '../../contract/source-contract.ts';
import { type SerialPair, startSerialPair } from '../../machine/serial-pair.ts';
import { lacks } from '../../machine/what-this-machine-lacks.ts';

const waits = { timeout: 8000, interval: 5 };
const traits = { carriesStamps: true, repeats: false, acknowledges: false, goesAway: true };
const settingsFor = (path: string) => ({
  id: 'usb',
  path,
  baudRate: 115_200,
  waits: { firstMs: 20, longestMs: 100 },
});

async function makeSerialRig(): Promise<SourceRig> {
  const pair = await startSerialPair();
  return {
    makeSource: () => createSerialSource(settingsFor(pair.path)),
    send: ({ probe, tempC, atMs }) =>
      pair.write(`${JSON.stringify([{ n: probe, u: 'Cel', v: tempC, t: atMs / 1000 }])}\r\n`),
    async sendBad() {
      await pair.write('[{"n":"plum","u":"Fah","v":40}]\n');
      const message = 'unit of probe "plum" must be "Cel" or "K", got "Fah". Send °C as "Cel".';
      return { source: 'usb', probe: 'plum', code: 'WIRE_UNIT', message };
    },
    acknowledged: () => 0,
    breakWire: pair.unplug,
    mendWire: pair.plug,
    close: pair.stop,
  };
}

describe.skipIf(lacks('socat'))('a serial line', () => {
  describeSource('a serial line', traits, makeSerialRig);

  describe('with a sensor at its far end', () => {
    let pair: SerialPair;
    let sink: RecordingSink;
    let close: () => Promise<void>;

    beforeEach(async () => {
      pair = await startSerialPair();
      sink = createRecordingSink();
      const source = createSerialSource(settingsFor(pair.path));
      await source.open(sink);
      close = source.close;
    });
    afterEach(async () => {
      await close();
      await pair.stop();
    });
    const seen = () => sink.readings().map(({ probe, tempC }) => `${probe} ${tempC}`);
    const codes = () => sink.refusals().map(({ code }) => code);

    test('takes plain lines with either line end, in pieces', async () => {
      await pair.write('\nbramble 4.5\r\nsor');
      await vi.waitFor(() => expect(seen()).toEqual(['bramble 4.5']), waits);
      await pair.write('rel 5\n\n');
      await vi.waitFor(() => expect(seen()).toEqual(['bramble 4.5', 'sorrel 5']), waits);
      expect(codes()).toEqual([]);
    });

    test('refuses noise and long lines between good ones', async () => {
      await pair.write('\nplum 1\n');
      await pair.write(Uint8Array.of(0xff, 0x00, 0x0a));
      await pair.write(`${'x'.repeat(20_000)}\nplum 2\nplum\n`);
      await vi.waitFor(() => expect(codes()).toEqual(['WIRE_GARBLED', 'WIRE_LONG', 'WIRE_GARBLED']), waits);
      expect(seen()).toEqual(['plum 1', 'plum 2']);
    });

    test('never takes the beginning of a line that was cut by unplugging', async () => {
      await pair.write('\nplum 1\nplum 2');
      await vi.waitFor(() => expect(seen()).toEqual(['plum 1']), waits);
      await pair.unplug();
      await vi.waitFor(() => expect(sink.states.at(-1)?.state).toBe('waiting'), waits);
      expect(sink.states.at(-1)?.why).toBe(`${pair.path}: unplugged; again in 0.02 s`);
      await pair.plug();
      await vi.waitFor(() => expect(sink.states.at(-1)?.state).toBe('open'), waits);
      await pair.write('5\nplum 3\n');
      await vi.waitFor(() => expect(seen()).toEqual(['plum 1', 'plum 3']), waits);
    });
  });

  test('notices that it was unplugged at the very moment of opening', async () => {
    await Promise.all(
      Array.from({ length: 6 }, async () => {
        const pair = await startSerialPair();
        const sink = createRecordingSink();
        const source = createSerialSource(settingsFor(pair.path));
        await source.open(sink);
        await pair.unplug();
        await vi.waitFor(() => expect(sink.states.at(-1)?.state).toBe('waiting'), waits);
        await source.close();
        await pair.stop();
      }),
    );
  });

  describe('joined while the sensor speaks', () => {
    async function hear(quietMs: number): Promise<RecordingSink> {
      const pair = await startSerialPair();
      const sink = createRecordingSink();
      const source = createSerialSource({ ...settingsFor(pair.path), quietMs });
      await source.open(sink);
      await pair.write('1 4.5\nplum1 4.5\n');
      await vi.waitFor(() => expect(sink.readings().at(-1)?.probe).toBe('plum1'), waits);
      await source.close();
      await pair.stop();
      return sink;
    }

    test('does not trust a plain first line that comes at once', async () => {
      const sink = await hear(60_000);
      expect(sink.readings().length).toBe(1);
      expect(sink.refusals()).toEqual([
        {
          source: 'usb',
          probe: null,
          code: 'WIRE_GARBLED',
          message:
            'first line must be heard from its beginning, got "1 4.5" at once on opening. ' +
            'Nothing needs doing: the next line is taken.',
        },
      ]);
    });

    test('trusts a plain first line that begins after a silence', async () => {
      const sink = await hear(0);
      expect(sink.readings().map(({ probe }) => probe)).toEqual(['1', 'plum1']);
      expect(sink.refusals()).toEqual([]);
    });
  });
});

test('rejects settings that can never work', async () => {
  const source = createSerialSource({ id: 'usb', path: '', baudRate: 1.5 });
  await expect(source.open(createRecordingSink())).rejects.toThrow(
    'SOURCE_SETTING: path of source "usb" must be the path of a device, got "". Give /dev/ttyUSB0 or the like.\n' +
      'SOURCE_SETTING: baudRate of source "usb" must be a whole number from 300 to 921600, got 1.5. ' +
      "Give the rate printed in the sensor's manual.",
  );
});
