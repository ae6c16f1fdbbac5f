import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import type { Refusal, Source, WireReading } from '../../probes/source.ts';
import { createRecordingSink, type RecordingSink } from './recording-sink.ts';

/** What a kind of wire can do; the suite checks what follows from it. */
export type WireTraits = {
  /** Whether stamps arrive; where not, readings are expected to carry none. */
  carriesStamps: boolean;
  /** Whether the wire shows a reading again and again until another takes its place. */
  repeats: boolean;
  /** Whether the far end keeps a message until it is acknowledged, and sends it again. */
  acknowledges: boolean;
  /** Whether the wire can be taken away and brought back. */
  goesAway: boolean;
};

/** One wire for one test, with somebody at its far end. */
export type SourceRig = {
  /** Returns a source on this wire that was never opened; the session of an earlier one goes on. */
  makeSource(): Source;
  /** Hands a reading to the wire, stamped where the wire carries stamps; resolves once it is on its way. */
  send(reading: { probe: string; tempC: number; atMs: number }): Promise<void>;
  /** Hands over something that must be refused, and returns that refusal. */
  sendBad(): Promise<Refusal>;
  /** How many messages the far end knows to be kept; asked only where the wire acknowledges. */
  acknowledged(): number;
  /** Takes the wire away, so that the source can tell; called only where the wire goes away. */
  breakWire(): Promise<void>;
  /** Brings it back. */
  mendWire(): Promise<void>;
  close(): Promise<void>;
};

const atMs = 1_764_000_000_000;
const readings = [
  { probe: 'bramble', tempC: 31.5, atMs },
  { probe: 'sorrel', tempC: 4.4375, atMs: atMs + 1000 },
  { probe: 'bramble', tempC: -0.5, atMs: atMs + 2001 },
];

/** Checks that a kind of source keeps what `probes/source.ts` promises; a new rig is made for each test. */
export function describeSource(name: string, traits: WireTraits, makeRig: () => Promise<SourceRig>): void {
  describe(`the contract of a source, kept by ${name}`, () => {
    let rig: SourceRig;
    let sink: RecordingSink;
    let opened: Source[];

    beforeEach(async () => {
      rig = await makeRig();
      sink = createRecordingSink();
      opened = [];
    });
    afterEach(async () => {
      for (const source of opened) await source.close();
      await rig.close();
    });

    async function open(): Promise<Source> {
      const source = rig.makeSource();
      await source.open(sink);
      opened.push(source);
      return source;
    }

    async function close(source: Source): Promise<void> {
      opened = opened.filter((other) => other !== source);
      await source.close();
    }

    function expected(sent: readonly { probe: string; tempC: number; atMs: number }[]): WireReading[] {
      return sent.map(({ probe, tempC, atMs }) => ({
        probe,
        tempC,
        atMs: traits.carriesStamps ? atMs : null,
        undated: false,
      }));
    }

    /** What arrived, without the repeats of a wire that repeats. */
    function arrived(): WireReading[] {
      if (!traits.repeats) return sink.readings();
      const last = new Map<string, number>();
      return sink.readings().filter(({ probe, tempC }) => {
        const isNew = last.get(probe) !== tempC;
        last.set(probe, tempC);
        return isNew;
      });
    }

    test('hands over readings as they were sent, in their order', async () => {
      const source = await open();
      for (const [i, reading] of readings.entries()) {
        await rig.send(reading);
        // One by one, since a wire that repeats shows only the newest.
        await vi.waitFor(() => expect(arrived()).toEqual(expected(readings.slice(0, i + 1))), waits);
      }
      for (const { source: id, canResend } of sink.offers) {
        expect({ id, canResend }).toEqual({ id: source.id, canResend: traits.acknowledges });
      }
    });

    test('refuses what is bad by code and text, and takes what follows', async () => {
      await open();
      const refusal = await rig.sendBad();
      await vi.waitFor(() => expect(sink.refusals()).toContainEqual(refusal), waits);
      for (const reading of readings) await rig.send(reading);
      await vi.waitFor(() => expect(arrived()).toContainEqual(expected(readings).at(-1)), waits);
      expect(sink.refusals().every((other) => other.code === refusal.code)).toBe(true);
    });

    test('tells when it is open and when it is closed, and hears nothing after that', async () => {
      const source = await open();
      const { states, offers } = sink;
      await vi.waitFor(() => expect(states.at(-1)?.state).toBe('open'), waits);
      await close(source);
      expect(states.at(-1)).toEqual({ state: 'closed', why: 'closed' });
      const before = { states: states.length, offers: offers.length };
      sink = createRecordingSink();
      await open();
      await vi.waitFor(() => expect(sink.states.at(-1)?.state).toBe('open'), waits);
      const sent = { probe: 'plum', tempC: 38.25, atMs };
      await rig.send(sent);
      await vi.waitFor(() => expect(arrived()).toContainEqual(expected([sent]).at(0)), waits);
      expect({ states: states.length, offers: offers.length }).toEqual(before);
    });

    test('closes within a second while commits are under way', async () => {
      const source = await open();
      sink.hold();
      await sendWithoutWaiting(rig, readings);
      await vi.waitFor(() => expect(sink.readings().length).toBeGreaterThan(0), waits);
      const beganMs = performance.now();
      await close(source);
      expect(performance.now() - beganMs).toBeLessThan(1000);
      sink.commit();
    });

    test('goes on listening where a commit failed', async () => {
      await open();
      sink.failNext(1);
      await sendWithoutWaiting(rig, [{ probe: 'plum', tempC: 5, atMs }]);
      await vi.waitFor(() => expect(sink.readings().length).toBeGreaterThan(0), waits);
      await sendWithoutWaiting(rig, [{ probe: 'plum', tempC: 6, atMs: atMs + 1 }]);
      await vi.waitFor(() => expect(sink.readings().some(({ tempC }) => tempC === 6)).toBe(true), waits);
    });

    if (traits.acknowledges)
      describe('where the sender can send again', () => {
        test('takes many before any is committed, and acknowledges none until then', async () => {
          await open();
          sink.hold();
          const many = Array.from({ length: 20 }, (_, i) => ({ probe: 'plum', tempC: i, atMs: atMs + i }));
          await sendWithoutWaiting(rig, many);
          await vi.waitFor(() => expect(sink.readings()).toEqual(expected(many)), waits);
          expect(rig.acknowledged()).toBe(0);
          sink.commit();
          await vi.waitFor(() => expect(rig.acknowledged()).toBe(20), waits);
        });

        test('acknowledges what it refused, once that is counted', async () => {
          await open();
          sink.hold();
          const refusal = rig.sendBad();
          await vi.waitFor(() => expect(sink.refusals().length).toBe(1), waits);
          expect(rig.acknowledged()).toBe(0);
          sink.commit();
          await vi.waitFor(() => expect(rig.acknowledged()).toBe(1), waits);
          expect(sink.refusals()).toEqual([await refusal]);
        });

        test('hears a message again whose commit failed, and acknowledges it once', async () => {
          await open();
          sink.failNext(2);
          const sent = [{ probe: 'plum', tempC: 7, atMs }];
          await sendWithoutWaiting(rig, sent);
          await vi.waitFor(() => expect(rig.acknowledged()).toBe(1), waits);
          expect(sink.readings()).toEqual([...expected(sent), ...expected(sent), ...expected(sent)]);
        });

        test('leaves unacknowledged what was not committed at the close, so that it comes again', async () => {
          const first = await open();
          sink.hold();
          await sendWithoutWaiting(rig, readings);
          await vi.waitFor(() => expect(sink.readings()).toEqual(expected(readings)), waits);
          await close(first);
          sink.commit();
          expect(rig.acknowledged()).toBe(0);
          sink = createRecordingSink();
          await open();
          await vi.waitFor(() => expect(sink.readings()).toEqual(expected(readings)), waits);
          await vi.waitFor(() => expect(rig.acknowledged()).toBe(3), waits);
        });
      });

    if (traits.goesAway)
      describe('where the wire can go away', () => {
        test('tells that it waits, and goes on once the wire is back', async () => {
          await open();
          await vi.waitFor(() => expect(sink.states.at(-1)?.state).toBe('open'), waits);
          await rig.breakWire();
          await vi.waitFor(() => expect(sink.states.at(-1)?.state).toBe('waiting'), waits);
          await rig.mendWire();
          await vi.waitFor(() => expect(sink.states.at(-1)?.state).toBe('open'), waits);
          await rig.send({ probe: 'plum', tempC: 8, atMs });
          await vi.waitFor(
            () => expect(arrived()).toContainEqual(expected([{ probe: 'plum', tempC: 8, atMs }]).at(0)),
            waits,
          );
        });

        test('opens on a wire that is not there yet, waits for it and closes at once while it waits', async () => {
          await rig.breakWire();
          const source = await open();
          await vi.waitFor(() => expect(sink.states.at(-1)?.state).toBe('waiting'), waits);
          await rig.mendWire();
          await vi.waitFor(() => expect(sink.states.at(-1)?.state).toBe('open'), waits);
          await rig.breakWire();
          await vi.waitFor(() => expect(sink.states.at(-1)?.state).toBe('waiting'), waits);
          const beganMs = performance.now();
          await close(source);
          expect(performance.now() - beganMs).toBeLessThan(1000);
          await rig.mendWire();
        });
      });
  });
}

/** How long the suite waits for what must come, and how often it looks. */
const waits = { timeout: 8000, interval: 5 };

/** Hands readings over in order without waiting until the far end knows them kept. */
async function sendWithoutWaiting(
  rig: SourceRig,
  sent: readonly { probe: string; tempC: number; atMs: number }[],
): Promise<void> {
  for (const reading of sent) void rig.send(reading);
}
