/** The control of the kill proof: a daemon that is wrong in one thing, it acknowledges before the commit. */
import { runControl } from './control-house.ts';

await runControl({
  // A card that takes its time, as cards do; what is acknowledged and not yet on it is lost.
  writer: { commitDelayMs: 25 },
  sinkOf: (intake) => ({
    tell: intake.tell,
    take: (offer) => {
      intake.take(offer).catch(() => {});
      return Promise.resolve();
    },
  }),
});
