import { expect, it } from 'vitest';
import { openLiveLoop } from '../../daemon/live-loop.ts';
import { openWriter } from '../../daemon/writer.ts';
import { tempFolder } from './sqlite/temp-folder.ts';

const atMs = Date.UTC(2026, 3, 18, 6, 40);
const probes = ['bramble', 'sorrel'];
const rules = {
  chill: { limitC: ((40 - 32) * 5) / 9, spanMs: 3_600_000, guarded: true },
  places: {},
  probes: {},
  startsByItself: false,
};

it('keeps the lanes after a long resume, so that the next life need not step the same inputs again', async () => {
  const dataDir = tempFolder();
  const count = 6_000;
  for (const life of ['first', 'second']) {
    const writer = await openWriter({ dataDir });
    if (life === 'first') {
      for (let from = 0; from < count; from += 1_000) {
        await writer.commitReadings(
          Array.from({ length: 1_000 }, (_, index) => ({
            probe: probes[index % 2] as string,
            tempC: 4,
            flags: 0,
            receivedMs: atMs,
            stamp: { atMs: atMs + (from + index) * 1_000 },
          })),
        );
      }
    }
    const asked: number[] = [];
    const loop = await openLiveLoop({
      writer: {
        ...writer,
        inputsAfter: (inputSeq, limit) => {
          asked.push(inputSeq);
          return writer.inputsAfter(inputSeq, limit);
        },
      },
      rules,
      nowMs: () => atMs,
      onRecorded: () => {},
      onTrouble: () => {},
    });
    expect(asked).toEqual(life === 'first' ? [0, 5_000, count] : [count]);
    // As if killed: only what was kept on opening is there for the next life.
    expect((await writer.snapshots()).map(({ inputSeq }) => inputSeq)).toEqual([count, count]);
    await writer.close();
    await loop.close();
  }
});
