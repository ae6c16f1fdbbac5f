import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { dataPaths } from '../../daemon/data-folder.ts';
import { type Disk, type DiskOptions, openDisk } from '../../daemon/disk.ts';
import { at, heard } from './history/open-history.ts';
import { stepped } from './record/open-record.ts';
import { caught } from './sqlite/caught.ts';
import { tempFolder } from './sqlite/temp-folder.ts';

const dawnMs = Date.UTC(2026, 4, 3, 5, 30);
const tap = {
  wordId: 'tap-00000001',
  by: 'house',
  word: { kind: 'milking-ended', probe: 'jar', atMs: dawnMs } as const,
  receivedMs: dawnMs + 70,
};
const step = { deltaMs: 0, known: true, receivedMs: dawnMs + 80 };

function open(options: DiskOptions): Disk {
  const disk = openDisk(options);
  onTestFinished(disk.close);
  return disk;
}

/** Closes a disk and opens its folder again. */
function reopen(disk: Disk, options: DiskOptions): Disk {
  disk.close();
  return open(options);
}

describe('the disk of a house', () => {
  it('numbers readings, words and clock steps in one order over both files', () => {
    const disk = open({ dataDir: tempFolder() });
    expect(disk.commitReadings([at(dawnMs, 33), at(dawnMs, 33), at(dawnMs + 1, 33)])).toMatchObject([
      { inputSeq: 1 },
      { is: 'repeat' },
      { inputSeq: 2 },
    ]);
    expect(disk.commitWord(tap)).toEqual({ inputSeq: 3, already: false });
    expect(disk.commitWord(tap)).toEqual({ inputSeq: 3, already: true });
    expect(disk.commitClock(step)).toEqual({ inputSeq: 4 });
    expect(disk.commitReadings([at(dawnMs + 2, 32)])).toMatchObject([{ inputSeq: 5 }]);
    const numbers = (after: number, limit: number) =>
      disk.inputsAfter(after, limit).map(({ inputSeq, kind }) => [inputSeq, kind]);
    expect(numbers(0, 10)).toEqual([
      [1, 'reading'],
      [2, 'reading'],
      [3, 'word'],
      [4, 'clock'],
      [5, 'reading'],
    ]);
    expect(numbers(1, 2)).toEqual([
      [2, 'reading'],
      [3, 'word'],
    ]);
    expect(caught(() => disk.inputsAfter(0, 10_001)).code).toBe('LIMIT_RULE');
  });

  it('tells a new house from one that ran before', () => {
    const options = { dataDir: tempFolder() };
    const disk = open(options);
    expect(disk.opened).toEqual({
      nextInputSeq: 1,
      recordSeq: 0,
      historyLost: false,
      houseLost: false,
      lastReceivedMs: null,
    });
    disk.commitReadings([at(dawnMs, 33)]);
    disk.commitWord(tap);
    disk.appendOutcome({ happenings: [stepped(1), stepped(2)], snapshots: [] });
    expect(reopen(disk, options).opened).toEqual({
      nextInputSeq: 3,
      recordSeq: 2,
      historyLost: false,
      houseLost: false,
      lastReceivedMs: dawnMs + 70,
    });
  });

  it.each<[string, (disk: Disk) => void]>([
    ['a reading', (disk) => disk.commitReadings([at(dawnMs, 33)])],
    ['a word', (disk) => disk.commitWord(tap)],
    ['a clock step', (disk) => disk.commitClock(step)],
  ])('goes on above the newest number also where that is of %s', (_, last) => {
    const options = { dataDir: tempFolder() };
    const disk = open(options);
    disk.commitReadings([at(dawnMs - 2, 33), at(dawnMs - 1, 33)]);
    last(disk);
    expect(reopen(disk, options).opened.nextInputSeq).toBe(4);
  });

  it('says that the history was lost, and uses no number of it again that a snapshot knows', () => {
    const options = { dataDir: tempFolder() };
    const disk = open(options);
    disk.commitReadings([at(dawnMs, 33), at(dawnMs + 1, 33)]);
    disk.appendOutcome({
      happenings: [],
      snapshots: [{ lane: 'jar', stateVersion: 1, inputSeq: 2, body: '' }],
    });
    disk.close();
    rmSync(dataPaths(options.dataDir).history);
    const again = open(options);
    expect(again.opened).toMatchObject({ nextInputSeq: 3, historyLost: true, houseLost: false });
    expect(again.commitReadings([at(dawnMs, 33)])).toMatchObject([{ inputSeq: 3 }]);
    expect(reopen(again, options).opened).toMatchObject({ nextInputSeq: 4, historyLost: false });
  });

  it('says that the record was lost', () => {
    const options = { dataDir: tempFolder() };
    const disk = open(options);
    disk.commitReadings([at(dawnMs, 33)]);
    disk.close();
    rmSync(dataPaths(options.dataDir).house);
    expect(open(options).opened).toMatchObject({ nextInputSeq: 2, historyLost: false, houseLost: true });
  });

  it.each(['house', 'history'] as const)(
    'refuses a damaged %s file, changes nothing and lets the folder go',
    (file) => {
      const options = { dataDir: tempFolder() };
      open(options).close();
      const path = dataPaths(options.dataDir)[file];
      const sound = readFileSync(path);
      writeFileSync(path, 'whey '.repeat(2000));
      expect(caught(() => openDisk(options)).code).toBe('DATA_DAMAGED');
      expect(readFileSync(path, 'utf8')).toBe('whey '.repeat(2000));
      writeFileSync(path, sound);
      open(options);
    },
  );

  it('still knows the history as lost after the house file could not be opened', () => {
    const options = { dataDir: tempFolder() };
    const disk = open(options);
    disk.appendOutcome({ happenings: [stepped(1)], snapshots: [] });
    disk.close();
    const { house, history } = dataPaths(options.dataDir);
    const sound = readFileSync(house);
    rmSync(history);
    writeFileSync(house, 'whey '.repeat(2000));
    expect(caught(() => openDisk(options)).code).toBe('DATA_DAMAGED');
    expect(existsSync(history)).toBe(false);
    writeFileSync(house, sound);
    expect(open(options).opened.historyLost).toBe(true);
  });

  it('refuses files that were swapped', () => {
    const options = { dataDir: tempFolder() };
    open(options).close();
    const { house, history } = dataPaths(options.dataDir);
    const [houseBytes, historyBytes] = [readFileSync(house), readFileSync(history)];
    writeFileSync(house, historyBytes);
    writeFileSync(history, houseBytes);
    expect(caught(() => openDisk(options)).code).toBe('DATA_FOREIGN');
  });

  it('is held by one at a time', () => {
    const options = { dataDir: join(tempFolder(), 'not', 'made', 'yet') };
    const disk = open(options);
    expect(caught(() => openDisk(options))).toEqual({
      code: 'DATA_BUSY',
      message: `DATA_BUSY: the data folder ${options.dataDir} must be used by one daemon at a time, got a second start. Stop the other one, or give another folder with --data.`,
    });
    reopen(disk, options);
  });

  it('refuses a folder that cannot be made', () => {
    const path = join(tempFolder(), 'jar');
    writeFileSync(path, '');
    expect(caught(() => openDisk({ dataDir: path }))).toEqual({
      code: 'DATA_FOLDER',
      message: expect.stringMatching(/^DATA_FOLDER: .*jar must be a folder that can be made, got EEXIST/),
    });
  });

  it.each([1, 2, 3, 4, 5, 6, 7])(
    'keeps nothing of write %i when that fails, and all when it is tried again',
    (failNthWrite) => {
      const options = { dataDir: tempFolder() };
      const disk = open({ ...options, failNthWrite });
      const failed: string[] = [];
      const insist = <T>(name: string, write: () => T): T => {
        try {
          return write();
        } catch {
          failed.push(name);
          return write();
        }
      };
      const era = insist('openEra', () =>
        disk.openEra({ offsetMs: dawnMs, known: false, startedMs: dawnMs }),
      );
      insist('readings', () => disk.commitReadings([at(dawnMs, 33), heard(era, 1, 33)]));
      insist('word', () => disk.commitWord(tap));
      insist('clock', () => disk.commitClock(step));
      insist('learnEra', () => disk.learnEra({ era, offsetMs: dawnMs + 5, known: true }));
      insist('outcome', () =>
        disk.appendOutcome({
          happenings: [stepped(1)],
          snapshots: [{ lane: 'jar', stateVersion: 1, inputSeq: 4, body: '' }],
        }),
      );
      insist('meta', () => disk.setMeta('house', 'larkfell'));
      expect(failed).toEqual([
        ['openEra', 'readings', 'word', 'clock', 'learnEra', 'outcome', 'meta'][failNthWrite - 1],
      ]);
      const again = reopen(disk, options);
      expect(again.inputsAfter(0, 10).map(({ inputSeq, kind }) => [inputSeq, kind])).toEqual([
        [1, 'reading'],
        [2, 'reading'],
        [3, 'word'],
        [4, 'clock'],
      ]);
      expect(again.latest()).toMatchObject([{ atMs: dawnMs + 6 }]);
      expect([again.opened.recordSeq, again.snapshots().length, again.meta()]).toEqual([
        1,
        1,
        { house: 'larkfell' },
      ]);
    },
  );

  it('fails as many writes in a row as a proof asks for', () => {
    const disk = open({ dataDir: tempFolder(), failNthWrite: 2, failWrites: 2 });
    const write = (ms: number) => disk.commitReadings([at(dawnMs + ms, 33)]).map(({ is }) => is);
    expect(write(1)).toEqual(['stored']);
    expect([caught(() => write(2)).code, caught(() => write(2)).code]).toEqual([
      'DISK_FAILED',
      'DISK_FAILED',
    ]);
    expect(write(2)).toEqual(['stored']);
    expect(disk.inputsAfter(0, 10).map(({ inputSeq }) => inputSeq)).toEqual([1, 2]);
  });
});
