import { describe, expect, it, vi } from 'vitest';
import { waitingPerProbeMax } from '../../../daemon/intake/accept.ts';
import { openIntake } from '../../../daemon/intake/intake.ts';
import type { Offer, WireReading } from '../../../probes/source.ts';
import { type Input, readingFlags } from '../../../shared/contract/input.ts';
import { openMemoryWriter } from './memory-writer.ts';

const nowMs = Date.UTC(2026, 3, 18, 7);

function rig(o: { known?: boolean } = {}) {
  const writer = openMemoryWriter();
  const inputs: Input[] = [];
  const troubles: (string | null)[] = [];
  const time = { nowMs, steadyMs: 1_000, era: 1 };
  const intake = openIntake({
    writer,
    clock: {
      nowMs: () => time.nowMs,
      steadyMs: () => time.steadyMs,
      known: () => o.known ?? true,
      era: () => time.era,
    },
    onInputs: async (taken) => {
      inputs.push(...taken);
    },
    onTrouble: (error) => troubles.push(error?.message ?? null),
    simulated: false,
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

  it('lets no time pass beyond what may still come', async () => {
    const { intake, writer, time } = rig();
    expect(intake.settledMs()).toBe(nowMs);
    writer.hold = true;
    const taken = intake.take(offer([reading(nowMs - 5)]));
    time.nowMs = nowMs + 500;
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
});
