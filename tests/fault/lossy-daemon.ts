/** The control of the soak: a daemon that acknowledges one offer in a thousand and does not keep it. */
import { runControl } from './control-house.ts';

let offers = 0;
await runControl({
  sinkOf: (intake) => ({
    tell: intake.tell,
    take: (offer) => {
      offers += 1;
      return offers % 1_000 === 0 ? Promise.resolve() : intake.take(offer);
    },
  }),
});
