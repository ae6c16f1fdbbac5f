/**
 * A daemon on a machine whose clocks are set by the proof that started it. `SPRINGHOUSE_PROOF_CLOCK` has the clocks at
 * the start; each message sets them anew and is answered. `SPRINGHOUSE_PROOF_FAULT` plants what a control is wrong in.
 */
import { runControl } from './control-house.ts';

/** What the clocks of the machine show. */
export type MachineClock = {
  /** Epoch ms, as it was set. */
  systemMs: number;
  /** Since the machine's start, by a clock that nobody can set. */
  steadyMs: number;
  synchronised: boolean;
};

/**
 * `settable`: the clock that can be set is taken for the steady one. `believes`: any time is taken as known.
 */
export type ClockFault = 'settable' | 'believes';

const fault = process.env.SPRINGHOUSE_PROOF_FAULT as ClockFault | undefined;
let machine = JSON.parse(process.env.SPRINGHOUSE_PROOF_CLOCK ?? '') as MachineClock;
process.on('message', (message: MachineClock) => {
  machine = message;
  process.send?.('set');
});

await runControl({
  clock: {
    everyMs: 2,
    system: {
      nowMs: () => machine.systemMs,
      steadyMs: () => (fault === 'settable' ? machine.systemMs : machine.steadyMs),
      isSynchronised: async () => fault === 'believes' || machine.synchronised,
    },
  },
});
// The channel to the proof keeps nobody from ending.
process.channel?.unref();
