import { describe, expect, it, vi } from 'vitest';
import { waitingPerProbeMax } from '../../../daemon/intake/accept.ts';
import { openIntake } from '../../../daemon/intake/intake.ts';
import type { Offer, WireReading } from '../../../probes/source.ts';
import { type Input, readingFlags } from '../../../shared/contract/input.ts';
import { openMemoryWriter } from './memory-writer.ts';

const nowMs = Date.UTC(2026, 3, 18, 7);

function rig(o: { known?: boolean; standing?: () => 'turn' | 'open' | 'calm' } = {}) {
  const writer = openMemoryWriter();
  const inputs: Input[] = [];
  const troubles: (string | null)[] = [];
  const time = { steadyMs: 1_000, offsetMs: nowMs - 1_000, era: 1 };
  const intake = openIntake({
    writer,
    clock: {
      steadyMs: () => time.steadyMs,
      offsetMs: () => time.offsetMs,
      known: () => o.known ?? true,
      era: () => time.era,
    },
    onInputs: async (taken) => {
      inputs.push(...taken);
    },
    onTrouble: (error) => troubles.push(error?.message ?? null),
    simulated: false,
    retryMs: 20,
    ...(o.standing === undefined ? {} : { standing: o.standing }),
  });
  return { writer, inputs, troubles, time, intake };
}

const reading = (atMs: number | null, rest: Partial<WireReading> = {}): WireReading => ({
  probe: 'jar',
  tempC: 20,
  atMs,
  undated: false,
  ...rest,
});
const offer = (readings: WireReading[], rest: Partial<Offer> = {}): Offer => ({
  source: 'wire',
  readings,
  refusals: [],
  canResend: true,
  ...rest,
});

describe('the intake', () => {
  it('settles an offer only after its commit, and hands on what was stored', async () => {
    const { writer, inputs, intake } = rig();
    writer.hold = true;
    let settled = false;
    const taken = intake.take(offer([reading(nowMs - 5), reading(nowMs - 4)])).then(() => {
      settled = true;
    });
    await vi.waitFor(() => expect(intake.pending).toBe(0));
    expect(settled).toBe(false);
    writer.release();
    await taken;
    expect(inputs).toMatchObject([
      {
        inputSeq: 1,
        kind: 'reading',
        receivedMs: nowMs,
        reading: { probe: 'jar', atMs: nowMs - 5, flags: 0 },
      },
      { inputSeq: 2, kind: 'reading', reading: { atMs: nowMs - 4 } },
    ]);
  });

  it('counts what was stored, came again, contradicts, is late or has no date', async () => {
    const { intake, writer } = rig();
    await intake.take(offer([reading(nowMs - 5)]));
    await intake.take(
      offer([reading(nowMs - 5), reading(nowMs - 5, { tempC: 21 }), reading(null, { undated: true })]),
    );
    expect(writer.kept.size).toBe(1);
    expect(intake.counts.of('jar')).toEqual({
      taken: 2,
      repeats: 1,
      conflicts: 1,
      late: 0,
      undated: 1,
      refused: 0,
    });
  });

  it('rejects an offer whose commit failed, so that its source does not acknowledge', async () => {
    const { intake, writer, inputs, troubles } = rig();
    writer.failNext = 1;
    await expect(intake.take(offer([reading(nowMs - 5)]))).rejects.toThrow('the disk is full');
    expect(inputs).toEqual([]);
    await intake.take(offer([reading(nowMs - 5)]));
    expect(inputs).toHaveLength(1);
    expect(troubles).toEqual(['the disk is full', null]);
  });

  it('keeps what nobody can send again and tries until it is on disk', async () => {
    const { intake, writer, inputs } = rig();
    writer.failNext = 1;
    await intake.take(offer([reading(null)], { canResend: false }));
    expect(inputs).toHaveLength(1);
    expect(writer.commits).toEqual([['jar'], ['jar']]);
  });

  it('refuses a stamp far ahead of a known clock, and takes it while the clock is not known', async () => {
    const ahead = nowMs + 120_001;
    const known = rig();
    await known.intake.take(offer([reading(ahead), reading(nowMs + 120_000)]));
    expect(known.inputs).toHaveLength(1);
    expect(known.intake.counts.refusals()).toMatchObject([
      { code: 'WIRE_AHEAD', probe: 'jar', source: 'wire' },
    ]);
    const unknown = rig({ known: false });
    await unknown.intake.take(offer([reading(ahead)]));
    expect(unknown.inputs).toHaveLength(1);
  });

  it('refuses and counts surplus that nobody can send again, and never what can be', async () => {
    const { intake, writer } = rig();
    writer.hold = true;
    const many = Array.from({ length: waitingPerProbeMax + 3 }, () => reading(null));
    const lossy = intake.take(offer(many, { canResend: false }));
    // All readings of one offer are judged before any of them waits, so the next one meets the full line.
    void intake.take(offer([reading(null)], { canResend: false }));
    const kept = intake.take(offer([reading(nowMs)]));
    expect(intake.counts.of('jar').refused).toBe(1);
    writer.release();
    await Promise.all([lossy, kept]);
  });

  it('stamps by receipt what has no stamp, and earlier where the source said how long ago', async () => {
    const { intake, inputs } = rig();
    await intake.take(offer([reading(null), reading(null, { ageMs: 400 })]));
    const flags = readingFlags.receipt;
    expect(inputs).toMatchObject([{ reading: { atMs: 1_000, flags } }, { reading: { atMs: 600, flags } }]);
  });

  it('has one order of readings, words and turns of the clock', async () => {
    const { intake, inputs } = rig();
    const word = { kind: 'milking-ended', probe: 'jar', atMs: nowMs } as const;
    await Promise.all([
      intake.take(offer([reading(nowMs - 5)])),
      intake.say({ wordId: 'word-0001', by: 'house', word }),
      intake.start({ release: '1', aliveUntilMs: null, clean: true }),
    ]);
    await intake.turnClock({ deltaMs: 0, known: true }, async () => {});
    expect(inputs.map(({ inputSeq }) => inputSeq)).toEqual([1, 2, 3, 4]);
    expect(inputs.at(-1)?.kind).toBe('clock');
  });

  it('commits no reading while the eras of a turn of the clock are being kept', async () => {
    const { intake, inputs, time } = rig();
    let kept = () => {};
    const turning = intake.turnClock(
      { deltaMs: 5_000, known: true },
      () => new Promise((resolve) => (kept = resolve)),
    );
    time.era = 2;
    const taken = intake.take(offer([reading(null)]));
    await new Promise((resolve) => setImmediate(resolve));
    expect(inputs).toEqual([]);
    kept();
    await Promise.all([turning, taken]);
    expect(inputs.map(({ kind }) => kind)).toEqual(['clock', 'reading']);
  });

  it('hands on a turn of the clock before all that came after it, words too', async () => {
    const { intake, inputs, time } = rig();
    let kept = () => {};
    const turning = intake.turnClock(
      { deltaMs: 3_600_000, known: true },
      () => new Promise((resolve) => (kept = resolve)),
    );
    time.offsetMs += 3_600_000;
    const word = { kind: 'milking-ended', probe: 'jar', atMs: nowMs } as const;
    const said = intake.say({ wordId: 'word-0001', by: 'house', word });
    const started = intake.start({ release: '1', aliveUntilMs: null, clean: true });
    await new Promise((resolve) => setImmediate(resolve));
    expect(inputs).toEqual([]);
    kept();
    await Promise.all([turning, said, started]);
    expect(inputs.map(({ kind }) => kind)).toEqual(['clock', 'word', 'start']);
  });

  it('takes the receipt of what waits by the clock in force when it is committed', async () => {
    const { intake, inputs, time } = rig();
    const taken = intake.take(offer([reading(nowMs - 5)]));
    time.offsetMs -= 3_600_000;
    await intake.turnClock({ deltaMs: -3_600_000, known: true }, async () => {});
    await taken;
    expect(inputs).toMatchObject([
      { kind: 'clock', receivedMs: nowMs - 3_600_000 },
      { kind: 'reading', receivedMs: nowMs - 3_600_000, reading: { atMs: nowMs - 5 } },
    ]);
  });

  it('tries a turn of the clock until it is kept, and lets no reading pass it', async () => {
    const { intake, inputs, writer, troubles, time } = rig();
    writer.failClock = 2;
    let erasKept = 0;
    time.offsetMs += 60_000;
    const turning = intake.turnClock({ deltaMs: 60_000, known: true }, async () => {
      erasKept += 1;
    });
    const taken = intake.take(offer([reading(null)]));
    await Promise.all([turning, taken]);
    expect(inputs.map(({ kind }) => kind)).toEqual(['clock', 'reading']);
    expect([erasKept, troubles.slice(0, 3)]).toEqual([3, ['the disk is full', 'the disk is full', null]]);
  });

  it('gives up a turn of the clock that cannot be kept when it closes', async () => {
    const { intake, inputs, writer } = rig();
    writer.failClock = Number.POSITIVE_INFINITY;
    void intake.turnClock({ deltaMs: 60_000, known: true }, async () => {});
    void intake.take(offer([reading(nowMs - 5)]));
    await intake.close();
    expect(inputs.map(({ kind }) => kind)).toEqual(['reading']);
  });

  it('lets a flood delay other probes by one turn at most', async () => {
    const { intake, inputs } = rig();
    const flood = Array.from({ length: 6_000 }, (_, index) => reading(nowMs - 10_000 + index));
    void intake.take(offer(flood));
    await intake.take(offer([reading(nowMs - 1, { probe: 'can' })]));
    const place = inputs.findIndex((input) => input.kind === 'reading' && input.reading.probe === 'can');
    expect(place).toBe(1);
    await intake.close();
  });

  it('refuses what the house does not take and counts it, and keeps the rest of the offer', async () => {
    const inputs: Input[] = [];
    const intake = openIntake({
      writer: openMemoryWriter(),
      clock: { steadyMs: () => 0, offsetMs: () => nowMs, known: () => true, era: () => 1 },
      onInputs: async (taken) => {
        inputs.push(...taken);
      },
      onTrouble: () => {},
      refusalOf: (probe) => (probe === 'churn' ? 'probe must be known, got churn. Add it.' : null),
      simulated: true,
    });
    const refusal = { source: 'wire', probe: null, code: 'WIRE_GARBLED', message: 'a line' } as const;
    await intake.take(
      offer([reading(nowMs - 5, { probe: 'churn' }), reading(nowMs - 5)], { refusals: [refusal] }),
    );
    expect(inputs).toMatchObject([{ reading: { probe: 'jar', flags: readingFlags.simulated } }]);
    expect(intake.counts.refusals()).toEqual([
      refusal,
      {
        source: 'wire',
        probe: 'churn',
        code: 'WIRE_PROBE',
        message: 'probe must be known, got churn. Add it.',
      },
    ]);
    expect(intake.counts.of('churn').refused).toBe(1);
    expect(intake.counts.of('*').refused).toBe(1);
  });

  it('ends its offers and loses nothing, whichever commits fail', async () => {
    for (let failing = 1; failing <= 3; failing++) {
      const { intake, inputs, writer } = rig();
      writer.failNext = failing;
      const wants = Array.from({ length: 40 }, (_, index) => nowMs - 1_000 + index);
      const send = (atMs: number): Promise<void> =>
        intake.take(offer([reading(atMs, { probe: `p${atMs % 3}` })])).catch(() => send(atMs));
      const lossy = Array.from({ length: 10 }, () =>
        intake.take(offer([reading(null)], { canResend: false })),
      );
      await Promise.all([...wants.map(send), ...lossy]);
      const atMs = inputs.flatMap((input) =>
        input.kind === 'reading' && input.reading.probe !== 'jar' ? [input.reading.atMs] : [],
      );
      expect(atMs.sort((a, b) => a - b)).toEqual(wants);
      expect(inputs).toHaveLength(50);
      expect(inputs.map(({ inputSeq }) => inputSeq)).toEqual(inputs.map((_, index) => index + 1));
    }
  });

  it('commits what is gathered before a word that comes after it, and at its end', async () => {
    const { intake, inputs, time } = rig({ standing: () => 'calm' });
    const unawaited = { canResend: false } as const;
    // A probe that was not heard before goes at once; the next ones are gathered for seconds.
    await intake.take(offer([reading(null)], unawaited));
    time.steadyMs += 1_000;
    const gathered = intake.take(offer([reading(null)], unawaited));
    expect(intake.pending).toBe(1);
    const word = { kind: 'milking-ended', probe: 'jar', atMs: nowMs } as const;
    await intake.say({ wordId: 'word-0001', by: 'house', word });
    await gathered;
    time.steadyMs += 1_000;
    void intake.take(offer([reading(null)], unawaited));
    await intake.close();
    expect(inputs.map(({ kind }) => kind)).toEqual(['reading', 'reading', 'word', 'reading']);
  });

  it('lets no time pass beyond what may still come', async () => {
    const { intake, writer, time } = rig();
    expect(intake.settledMs()).toBe(nowMs);
    writer.hold = true;
    const taken = intake.take(offer([reading(nowMs - 5)]));
    time.steadyMs += 500;
    expect(intake.settledMs()).toBe(nowMs - 1);
    await vi.waitFor(() => expect(intake.pending).toBe(0));
    expect(intake.settledMs()).toBe(nowMs - 1);
    writer.release();
    await taken;
    await vi.waitFor(() => expect(intake.settledMs()).toBe(nowMs + 500));
  });

  it('commits what waits when it closes, and takes nothing after', async () => {
    const { intake, inputs } = rig();
    void intake.take(offer([reading(nowMs - 5)]));
    await intake.close();
    expect(inputs).toHaveLength(1);
    void intake.take(offer([reading(nowMs - 4)]));
    await new Promise((resolve) => setTimeout(resolve, 10));
    expect(inputs).toHaveLength(1);
  });

  it('closes on a disk that refuses, and leaves unsettled what it could not keep', async () => {
    const { intake, writer, inputs } = rig();
    writer.failNext = Number.POSITIVE_INFINITY;
    let settled = 0;
    const count = () => {
      settled += 1;
    };
    void intake.take(offer([reading(null)], { canResend: false })).then(count, count);
    await intake.close();
    await new Promise((resolve) => setImmediate(resolve));
    expect([settled, inputs]).toEqual([0, []]);
  });
});
