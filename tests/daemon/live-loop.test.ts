import { describe, expect, it, onTestFinished } from 'vitest';
import { type LiveLoop, openLiveLoop } from '../../daemon/live-loop.ts';
import type { WatchRules } from '../../daemon/watch/rules.ts';
import { openWriter, type Writer, type WriterOptions } from '../../daemon/writer.ts';
import type { AnyWatchView } from '../../shared/contract/api.ts';
import type { RecordEvent } from '../../shared/contract/event.ts';
import { type Input, readingFlags } from '../../shared/contract/input.ts';
import type { Word } from '../../shared/contract/word.ts';
import { until } from './open-test-house.ts';
import { tempFolder } from './sqlite/temp-folder.ts';
import { milkTrace, type TraceOptions } from './watch/trace.ts';

const minute = 60_000;
const dawnMs = Date.UTC(2026, 3, 18, 6, 40);

const probe = {
  place: 'freezer',
  volumeL: 0.95,
  material: 'glass',
  uncertaintyC: 0.2,
  measures: null,
} as const;
const rules: WatchRules = {
  chill: { limitC: ((40 - 32) * 5) / 9, spanMs: 60 * minute, guarded: true },
  places: { freezer: { kind: 'freezer', aroundC: null } },
  probes: { bramble: probe, sorrel: probe },
  startsByItself: true,
};

type Row = { probe: string; atMs: number; tempC: number };

function rowsOf(name: string, options: Partial<TraceOptions>): Row[] {
  return milkTrace({ aroundC: -2, tauMin: 50, minutes: 30, everyMs: 5_000, ...options }).map(
    ({ atMs, tempC }) => ({ probe: name, atMs, tempC }),
  );
}

/** One life of the watching on a folder: a real writer, a clock that is set, and an end like a power cut. */
type Life = {
  writer: Writer;
  loop: LiveLoop;
  recorded: RecordEvent[];
  troubles: (string | null)[];
  read(rows: readonly Row[]): Promise<void>;
  say(word: Word, receivedMs?: number): Promise<void>;
  take(inputs: readonly Input[]): Promise<void>;
  /** Ends at once: nothing more is kept. */
  cut(): Promise<void>;
};

async function live(dataDir: string, options: Partial<WriterOptions> = {}): Promise<Life> {
  const writer = await openWriter({ dataDir, ...options });
  onTestFinished(() => writer.close());
  const recorded: RecordEvent[] = [];
  const troubles: (string | null)[] = [];
  let isCut = false;
  let nowMs = dawnMs;
  let words = 0;
  const loop = await openLiveLoop({
    writer: {
      ...writer,
      appendOutcome: (outcome) => (isCut ? new Promise(() => {}) : writer.appendOutcome(outcome)),
    },
    rules,
    nowMs: () => nowMs,
    onRecorded: (events) => recorded.push(...events),
    onTrouble: (error) => troubles.push(error?.message ?? null),
    retryMs: 20,
  });
  const take = (inputs: readonly Input[]) => {
    nowMs = Math.max(nowMs, ...inputs.map(({ receivedMs }) => receivedMs));
    return loop.take(inputs);
  };
  const life: Life = {
    writer,
    loop,
    recorded,
    troubles,
    take,
    read: async (rows) => {
      const items = rows.map(({ probe: name, atMs, tempC }) => ({
        probe: name,
        tempC,
        flags: 0,
        receivedMs: atMs,
        stamp: { atMs },
      }));
      // Where the disk refuses, the source sends again.
      const commit = () => writer.commitReadings(items);
      const verdicts = await commit().catch(commit).catch(commit);
      const inputs = rows.flatMap(({ probe: name, atMs, tempC }, index): Input[] => {
        const verdict = verdicts[index];
        if (verdict?.is !== 'stored') return [];
        const { inputSeq, flags } = verdict;
        return [
          { inputSeq, receivedMs: atMs, kind: 'reading', reading: { probe: name, atMs, tempC, flags } },
        ];
      });
      await take(inputs);
    },
    say: async (word, receivedMs = dawnMs) => {
      words += 1;
      const said = { wordId: `word-${words}-${dawnMs}`, by: 'house', word };
      const { inputSeq } = await writer.commitWord({ ...said, receivedMs });
      await take([{ inputSeq, receivedMs, kind: 'word', ...said }]);
    },
    cut: async () => {
      isCut = true;
      await writer.close();
    },
  };
  return life;
}

const essence = (views: AnyWatchView[]) =>
  views.map((view) => ({ id: view.id, window: view.window, sinceMs: view.sinceMs, latest: view.latest }));
const kinds = (events: readonly RecordEvent[]) => events.map(({ kind }) => kind);
const begin = { kind: 'chill-begin', probe: 'bramble' } as const;

describe('the live loop', () => {
  it('goes on after a cut as if nothing had been, and says nothing twice', async () => {
    const dataDir = tempFolder();
    const rows = rowsOf('bramble', { minutes: 30, everyMs: 20_000 });
    const undisturbed = await live(tempFolder());
    await undisturbed.say(begin);
    await undisturbed.read(rows);
    await undisturbed.loop.close();

    let life = await live(dataDir);
    await life.say(begin);
    const said: RecordEvent[] = [];
    for (let from = 0; from < rows.length; from += 30) {
      await life.read(rows.slice(from, from + 30));
      await life.cut();
      said.push(...life.recorded);
      life = await live(dataDir);
    }
    said.push(...life.recorded);
    expect(essence(life.loop.watches())).toEqual(essence(undisturbed.loop.watches()));
    const told = (events: RecordEvent[]) =>
      events.filter(({ kind }) => kind !== 'watch-turned').map(({ id, atMs }) => [id, atMs]);
    await life.loop.close();
    expect(told(said)).toEqual(told(undisturbed.recorded));
    expect(said.map(({ recordSeq }) => recordSeq)).toEqual(said.map((_, index) => index + 1));
  });

  it('loses nothing of a jar that was not noticed yet when another one was kept', async () => {
    const dataDir = tempFolder();
    const sorrel = rowsOf('sorrel', { beforeMin: 6, minutes: 30, tauMin: 60 });
    const noticedMs = async (cutAtMs: number | null) => {
      const dir = cutAtMs === null ? tempFolder() : dataDir;
      let life = await live(dir);
      const before = sorrel.filter(({ atMs }) => atMs < (cutAtMs ?? Infinity));
      // One minute after Sorrel's milk went in, a word opens Bramble's watch, which is kept at once.
      await life.read(before.filter(({ atMs }) => atMs <= dawnMs + 7 * minute));
      await life.say(begin, dawnMs + 7 * minute);
      await life.read(before.filter(({ atMs }) => atMs > dawnMs + 7 * minute));
      if (cutAtMs !== null) {
        await until(
          async () => kinds(life.recorded),
          (all) => all.includes('watch-opened'),
        );
        await life.cut();
        life = await live(dir);
        await life.read(sorrel.filter(({ atMs }) => atMs >= cutAtMs));
      }
      const views = essence(life.loop.watches()).filter(({ id }) => id.startsWith('chill-sorrel'));
      await life.loop.close();
      return views;
    };
    const undisturbed = await noticedMs(null);
    expect(undisturbed).toHaveLength(1);
    expect(await noticedMs(dawnMs + 7.2 * minute)).toEqual(undisturbed);
  });

  it('sees readings of before a turn of the clock as it saw them then, whatever is learned of their era', async () => {
    const turnMs = 3_600_000;
    const rows = rowsOf('bramble', { minutes: 20, everyMs: 20_000 });
    const lanesAfter = async (isCut: boolean) => {
      const dataDir = tempFolder();
      let life = await live(dataDir);
      const era = await life.writer.openEra({ offsetMs: 0, known: false, startedMs: dawnMs });
      const hear = async (part: readonly Row[], heard: { era: number; offsetMs: number }) => {
        const inputs: Input[] = [];
        for (const { probe: name, atMs, tempC } of part) {
          const receivedMs = atMs + heard.offsetMs;
          const stamp = { era: heard.era, steadyMs: atMs };
          const [verdict] = await life.writer.commitReadings([
            { probe: name, tempC, flags: readingFlags.receipt, receivedMs, stamp },
          ]);
          if (verdict?.is !== 'stored') throw new Error('a receipt must be stored');
          const { inputSeq, flags } = verdict;
          const reading = { probe: name, atMs: verdict.atMs, tempC, flags };
          inputs.push({ inputSeq, receivedMs, kind: 'reading', reading });
        }
        await life.take(inputs);
      };
      await life.say(begin);
      await hear(rows.slice(0, 30), { era, offsetMs: 0 });
      // The clock jumps, then turns out to be right: what was heard before lies an hour later than it seemed.
      const after = await life.writer.openEra({ offsetMs: turnMs, known: false, startedMs: dawnMs });
      const receivedMs = (rows[30]?.atMs ?? 0) + turnMs;
      const stepped = await life.writer.commitClock({ deltaMs: turnMs, known: false, receivedMs });
      await life.take([{ ...stepped, receivedMs, kind: 'clock', deltaMs: turnMs, known: false }]);
      await life.writer.learnEra({ era, offsetMs: turnMs, known: true });
      await life.writer.learnEra({ era: after, offsetMs: turnMs, known: true });
      await hear(rows.slice(30), { era: after, offsetMs: turnMs });
      if (isCut) {
        await until(
          async () => kinds(life.recorded),
          (all) => all.includes('chill-will-miss'),
        );
        // The snapshot is put back to the word's, as if the disk had been slow to take the later ones.
        await life.writer.appendOutcome({
          happenings: [],
          snapshots: [{ lane: 'bramble', stateVersion: 0, inputSeq: 1, body: '' }],
        });
        await life.cut();
        life = await live(dataDir);
      }
      const lane = life.loop.lane('bramble');
      await life.loop.close();
      return lane;
    };
    const undisturbed = await lanesAfter(false);
    expect(undisturbed?.chill?.sinceMs).toBe(dawnMs + turnMs);
    expect(await lanesAfter(true)).toEqual(undisturbed);
  });

  it('rebuilds a lane of another state version from its readings', async () => {
    const dataDir = tempFolder();
    const first = await live(dataDir);
    await first.say(begin);
    await first.read(rowsOf('bramble', { minutes: 12 }));
    await first.loop.close();
    const before = essence(first.loop.watches());
    await first.writer.appendOutcome({
      happenings: [],
      snapshots: [{ lane: 'bramble', stateVersion: 0, inputSeq: first.loop.inputSeq, body: 'of long ago' }],
    });
    await first.cut();
    const second = await live(dataDir);
    expect(essence(second.loop.watches())).toEqual(before);
    expect(second.recorded).toEqual([]);
    await second.loop.close();
    const { stateVersion } = (await second.writer.snapshots())[0] as { stateVersion: number };
    expect(stateVersion).toBeGreaterThan(0);
  });

  it('keeps all when it closes, so that the next one has nothing to step again', async () => {
    const dataDir = tempFolder();
    const first = await live(dataDir);
    await first.read(rowsOf('sorrel', { beforeMin: 2, minutes: 4 }));
    await first.say(begin, dawnMs + 6 * minute);
    await first.loop.close();
    const kept = await first.writer.snapshots();
    expect(kept.map(({ lane, inputSeq }) => [lane, inputSeq])).toEqual([
      ['bramble', first.loop.inputSeq],
      ['sorrel', first.loop.inputSeq],
    ]);
    expect(await first.writer.inputsAfter(first.loop.inputSeq, 10)).toEqual([]);
    await first.cut();
    const second = await live(dataDir);
    expect(second.loop.inputSeq).toBe(first.loop.inputSeq);
    for (const probe of ['bramble', 'sorrel']) {
      expect(second.loop.lane(probe)).toEqual({ ...first.loop.lane(probe), inputSeq: first.loop.inputSeq });
    }
  });

  it('loses and doubles nothing, whichever two writes in a row fail', async () => {
    const rows = rowsOf('bramble', { minutes: 25, everyMs: 20_000 });
    const saidWith = async (options: Partial<WriterOptions>) => {
      const dataDir = tempFolder();
      const life = await live(dataDir, options);
      await life
        .say(begin)
        .catch(() => life.say(begin))
        .catch(() => life.say(begin));
      for (let from = 0; from < rows.length; from += 25) await life.read(rows.slice(from, from + 25));
      await until(
        async () => kinds(life.recorded),
        (all) => all.includes('chill-will-miss'),
      );
      await life.loop.close();
      const taken = life.loop.inputSeq;
      await life.cut();
      const next = await live(dataDir);
      expect([next.loop.inputSeq, next.recorded]).toEqual([taken, []]);
      return { said: life.recorded.map(({ id, atMs }) => [id, atMs]), troubles: life.troubles };
    };
    const { said } = await saidWith({});
    for (const failNthWrite of [1, 3, 5]) {
      const failed = await saidWith({ failNthWrite, failWrites: 2 });
      expect(failed.said, `write ${failNthWrite} and the next fail`).toEqual(said);
    }
  });

  it('lets others have their turn at least once in 200 inputs of a flood', async () => {
    const life = await live(tempFolder());
    await life.say(begin);
    const flood = Array.from(
      { length: 20_000 },
      (_, index): Input => ({
        inputSeq: 2 + index,
        receivedMs: dawnMs + index,
        kind: 'reading',
        reading: { probe: `p${index % 50}`, atMs: dawnMs + index, tempC: 4, flags: 0 },
      }),
    );
    let turns = 0;
    let longestMs = 0;
    let isDone = false;
    const done = life.take(flood).then(() => {
      isDone = true;
    });
    for (let sinceMs = performance.now(); !isDone; turns++) {
      await new Promise((resolve) => setImmediate(resolve));
      longestMs = Math.max(longestMs, performance.now() - sinceMs);
      sinceMs = performance.now();
    }
    await done;
    expect(turns).toBeGreaterThanOrEqual(20_000 / 200 - 1);
    // A loose bound on a busy machine: the aim is 50 ms, and the whole flood takes far longer than this.
    expect(longestMs).toBeLessThan(250);
    expect(life.loop.inputSeq).toBe(20_001);
  });
});
