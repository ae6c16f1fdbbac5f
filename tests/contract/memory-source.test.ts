import { expect, test, vi } from 'vitest';
import type { Refusal } from '../../probes/source.ts';
import { createMemoryWire } from './memory-source.ts';
import { createRecordingSink } from './recording-sink.ts';
import { describeSource, type SourceRig } from './source-contract.ts';

const traits = { carriesStamps: true, repeats: false, acknowledges: true, goesAway: true };

async function makeMemoryRig(): Promise<SourceRig> {
  const wire = createMemoryWire('memory');
  return {
    makeSource: wire.makeSource,
    send: async (reading) => wire.send({ readings: [{ ...reading, undated: false }], refusals: [] }),
    async sendBad() {
      const refusal: Refusal = { source: 'memory', probe: null, code: 'WIRE_GARBLED', message: 'planted' };
      wire.send({ readings: [], refusals: [refusal] });
      return refusal;
    },
    acknowledged: wire.acknowledged,
    breakWire: async () => wire.setDown(true),
    mendWire: async () => wire.setDown(false),
    close: async () => {},
  };
}

describeSource('the memory form', traits, makeMemoryRig);

const sent = { readings: [{ probe: 'plum', tempC: 4, atMs: 1, undated: false }], refusals: [] };

test('shows what the contract would find where a source acknowledges early', async () => {
  const wire = createMemoryWire('memory');
  const sink = createRecordingSink();
  wire.acknowledgeEarly();
  await wire.makeSource().open(sink);
  sink.hold();
  wire.send(sent);
  expect(wire.acknowledged()).toBe(1);
});

test('shows what the contract would find where a source forgets a failed commit', async () => {
  const wire = createMemoryWire('memory');
  const sink = createRecordingSink();
  wire.dropFailed();
  await wire.makeSource().open(sink);
  sink.failNext(1);
  wire.send(sent);
  wire.send(sent);
  await vi.waitFor(() => expect(wire.acknowledged()).toBe(1));
  expect(sink.offers.length).toBe(2);
});
