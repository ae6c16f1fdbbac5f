import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { describe, expect, it, onTestFinished } from 'vitest';
import { openReader } from '../../daemon/reader.ts';
import { openWriter, type Writer, type WriterOptions } from '../../daemon/writer.ts';
import { at } from './history/open-history.ts';
import { stepped } from './record/open-record.ts';
import { tempFolder } from './sqlite/temp-folder.ts';

const dawnMs = Date.UTC(2026, 4, 3, 5, 30);
const program = fileURLToPath(new URL('./commit-until-killed.ts', import.meta.url));

async function open(options: WriterOptions): Promise<Writer> {
  const writer = await openWriter(options);
  onTestFinished(() => writer.close());
  return writer;
}

function startCommitting(dataDir: string, first: number): ChildProcess {
  const child = spawn(process.execPath, [program, dataDir, String(first)], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  onTestFinished(() => {
    child.kill('SIGKILL');
  });
  return child;
}

/** Lets a child commit until it has acknowledged `groups` groups, kills it, and returns the last number said. */
async function killAfter(child: ChildProcess, groups: number): Promise<number> {
  const exited = once(child, 'exit');
  const said: number[] = [];
  if (child.stdout === null) throw new Error('the child must have a piped output, got none.');
  for await (const line of createInterface(child.stdout)) {
    said.push(Number(line));
    // The lines that were on their way when it died count too: they were said.
    if (said.length === groups) child.kill('SIGKILL');
  }
  await exited;
  return said.at(-1) ?? -1;
}

describe('the writer', () => {
  it('answers over its thread what the disk answers, in the order of the calls', async () => {
    const options = { dataDir: tempFolder() };
    const writer = await open(options);
    expect(writer.opened).toMatchObject({ nextInputSeq: 1, historyLost: false });
    const era = writer.openEra({ offsetMs: dawnMs, known: false, startedMs: dawnMs });
    const first = writer.commitReadings([at(dawnMs, 33), at(dawnMs, 33)]);
    const word = writer.commitWord({
      wordId: 'tap-00000001',
      by: 'house',
      word: { kind: 'moved', probe: 'jar', place: 'fridge' },
      receivedMs: dawnMs,
    });
    const clock = writer.commitClock({ deltaMs: 5, known: true, receivedMs: dawnMs });
    const events = writer.appendOutcome({
      happenings: [stepped(1)],
      snapshots: [{ lane: 'jar', stateVersion: 1, inputSeq: 1, body: '' }],
    });
    const noted = writer.setMeta('house', 'larkfell');
    const learned = writer.learnEra({ era: await era, offsetMs: dawnMs + 1, known: true });
    expect(await Promise.all([era, first, word, clock, events, noted, learned])).toMatchObject([
      1,
      [{ is: 'stored', inputSeq: 1, atMs: dawnMs, flags: 0 }, { is: 'repeat' }],
      { inputSeq: 2, already: false },
      { inputSeq: 3 },
      [{ recordSeq: 1 }],
      undefined,
      undefined,
    ]);
    expect(await writer.inputsAfter(1, 10)).toMatchObject([{ kind: 'word' }, { kind: 'clock' }]);
    expect(await writer.latest()).toEqual([{ probe: 'jar', atMs: dawnMs, tempC: 33, flags: 0 }]);
    expect(await writer.snapshots()).toHaveLength(1);
    expect(await writer.meta()).toEqual({ house: 'larkfell' });
  });

  it('commits what was given before it closes', async () => {
    const options = { dataDir: tempFolder() };
    const writer = await open(options);
    const commits = [1, 2, 3].map((ms) => writer.commitReadings([at(dawnMs + ms, 33)]));
    await writer.close();
    await writer.close();
    expect((await Promise.all(commits)).flat().map(({ is }) => is)).toEqual(['stored', 'stored', 'stored']);
    await expect(writer.latest()).rejects.toMatchObject({ code: 'THREAD_GONE' });
    expect((await open(options)).opened.nextInputSeq).toBe(4);
  });

  it('rejects by code what the disk refuses, and goes on', async () => {
    const writer = await open({ dataDir: tempFolder(), failNthWrite: 1 });
    await expect(writer.commitReadings([at(dawnMs, 33)])).rejects.toMatchObject({
      code: 'DISK_FAILED',
      message: 'DISK_FAILED: write 1 must succeed, got a planted fault. Try again.',
    });
    expect(await writer.commitReadings([at(dawnMs, 33)])).toMatchObject([{ is: 'stored', inputSeq: 1 }]);
  });

  it('slows its commits, and not its caller, where a test asks for a slow disk', async () => {
    const writer = await open({ dataDir: tempFolder(), commitDelayMs: 60 });
    const beganMs = performance.now();
    let turns = 0;
    const counting = setInterval(() => {
      turns += 1;
    }, 5);
    await writer.commitReadings([at(dawnMs, 33)]);
    clearInterval(counting);
    expect(performance.now() - beganMs).toBeGreaterThanOrEqual(60);
    expect(turns).toBeGreaterThan(2);
  });

  it('is refused on a folder that another process holds, and has it once that is killed', async () => {
    const dataDir = tempFolder();
    const child = startCommitting(dataDir, 0);
    if (child.stdout !== null) await once(child.stdout, 'data');
    await expect(openWriter({ dataDir })).rejects.toMatchObject({ code: 'DATA_BUSY' });
    child.kill('SIGKILL');
    await once(child, 'exit');
    await open({ dataDir });
  });

  it('has after three kills every reading that it acknowledged, once', async () => {
    const dataDir = tempFolder();
    let acknowledged = -1;
    for (const groups of [9, 1, 23]) {
      // Begins again at what was not acknowledged: some of it may be there already.
      acknowledged = await killAfter(startCommitting(dataDir, acknowledged + 1), groups);
    }
    const writer = await open({ dataDir });
    const inputs = await writer.inputsAfter(0, 10_000);
    const kept = inputs.map((input) => (input.kind === 'reading' ? input.reading : null));
    expect(acknowledged).toBeGreaterThanOrEqual(33 * 20 - 1);
    expect(kept.length).toBeGreaterThan(acknowledged);
    expect(kept).toEqual(kept.map((_, atMs) => ({ probe: 'jar', atMs, tempC: atMs / 16, flags: 0 })));
    expect(inputs.map(({ inputSeq }) => inputSeq)).toEqual(kept.map((_, index) => index + 1));
    const reader = await openReader({ dataDir });
    onTestFinished(() => reader.close());
    const query = { probe: 'jar', fromMs: 0, toMs: kept.length, points: 1 };
    expect(await reader.range(query)).toMatchObject([{ count: kept.length }]);
  });
});
