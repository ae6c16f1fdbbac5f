/**
 * Writes the two files as this release writes them, for a later one to bring up:
 *
 *   node tests/daemon/upgrade/make-fixture.ts history-2-house-3
 *
 * Run it before a step is added to a schema, and commit what it made.
 */
import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { openReader } from '../../../daemon/reader.ts';
import { openWriter, type Writer } from '../../../daemon/writer.ts';
import { readingFlags } from '../../../shared/contract/input.ts';

const dawnMs = Date.UTC(2026, 4, 3, 5, 30);
const { receipt, simulated, undated } = readingFlags;

type Items = Parameters<Writer['commitReadings']>[0];

/** Of every kind that there is: stamped and by receipt, sub-second, late, undated, of one instant, off any grid. */
async function fill(writer: Writer): Promise<void> {
  await writer.setMeta('houseId', 'larkfell-7q2m');
  await writer.appendOutcome({
    happenings: [
      {
        kind: 'house-made',
        id: 'house/house-made/1',
        atMs: dawnMs,
        by: { kind: 'daemon', id: 'house' },
        about: {},
        because: [],
        body: { house: 'larkfell-7q2m', name: 'Larkfell' },
      },
    ],
    snapshots: [],
  });
  await writer.commitStart({
    release: '0.1.0',
    receivedMs: dawnMs,
    known: true,
    aliveUntilMs: null,
    clean: true,
  });
  const era = await writer.openEra({ offsetMs: dawnMs, known: true, startedMs: dawnMs });
  const stamped = (probe: string, index: number, tempC: number, flags = 0): Items[number] => ({
    probe,
    tempC,
    flags,
    receivedMs: dawnMs + index * 10_000 + 7,
    stamp: { atMs: dawnMs + index * 10_000 + (index % 3) },
  });
  const received = (
    probe: string,
    steadyMs: number,
    tempC: number,
    flags: number = receipt,
  ): Items[number] => ({
    probe,
    tempC,
    flags,
    receivedMs: dawnMs + steadyMs,
    stamp: { era, steadyMs },
  });
  const sixteenths = (tempC: number) => Math.round(tempC * 16) / 16;
  for (let from = 0; from < 400; from += 20) {
    await writer.commitReadings(
      Array.from({ length: 20 }, (_, more) =>
        stamped('jar', from + more + 10, sixteenths(30 - (from + more) / 20)),
      ),
    );
  }
  for (let from = 0; from < 60; from += 10) {
    await writer.commitReadings(
      Array.from({ length: 10 }, (_, more) =>
        received('larder', 1_000 * (from + more), sixteenths(4 + Math.sin(from + more))),
      ),
    );
  }
  await writer.commitReadings([received('larder', 20_000, 5), received('larder', 20_000, 5.5)]);
  await writer.commitReadings([stamped('jar', 2, 31.25), stamped('jar', 3, 31.1)]);
  await writer.commitReadings([
    received('jar', 5_000, 12, receipt | undated),
    stamped('pot', 4, 0.1 + 0.2, simulated),
  ]);
  await writer.commitWord({
    wordId: 'word-00000001',
    by: 'house',
    receivedMs: dawnMs + 9e6,
    word: { kind: 'chill-begin', probe: 'jar' },
  });
}

const [name = 'unnamed'] = process.argv.slice(2);
const dataDir = await mkdtemp(join(tmpdir(), 'springhouse-fixture-'));
const writer = await openWriter({ dataDir });
await fill(writer);
await writer.close();
const reader = await openReader({ dataDir });
const readings: (string | number)[][] = [];
for (const probe of ['jar', 'larder', 'pot']) {
  for await (const slice of reader.rawRange({ probe, fromMs: 0, toMs: 4e12 })) {
    for (const { atMs, tempC, flags } of slice) readings.push([probe, atMs, tempC, flags]);
  }
}
const { events, lastHash } = await reader.verify();
await reader.close();
await writeFile(join(dataDir, 'expected.json'), JSON.stringify({ events, lastHash, readings }));
const folder = new URL(`./${name}/`, import.meta.url);
await mkdir(folder, { recursive: true });
for (const file of ['house.db', 'history.db', 'expected.json']) {
  await writeFile(new URL(`${file}.gz`, folder), gzipSync(await readFile(join(dataDir, file)), { level: 9 }));
}
await rm(dataDir, { recursive: true, force: true });
