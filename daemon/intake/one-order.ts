import type { Input } from '../../shared/contract/input.ts';

/** An input on its way from receipt to the watching. */
export type Underway = { receivedMs: number };

/** Keeps the one order of inputs, and knows what may still come before an instant. */
export type OneOrder = {
  /** An input received at `receivedMs` begins to be committed. */
  enter(receivedMs: number): Underway;
  /** It is committed: hands on what it became, after all that was handed on before. */
  handOn(underway: Underway, inputs: Input[]): void;
  /** It could not be committed. */
  leave(underway: Underway): void;
  /** Resolves when all that was handed on so far is watched. */
  watched(): Promise<void>;
  /** The earliest receipt underway; null where nothing is. */
  oldestMs(): number | null;
};

/** `onInputs` is called in the order of `handOn` and must not reject. */
export function openOneOrder(onInputs: (inputs: Input[]) => Promise<void>): OneOrder {
  const underway = new Set<Underway>();
  let watched: Promise<void> = Promise.resolve();
  return {
    enter: (receivedMs) => {
      const entered = { receivedMs };
      underway.add(entered);
      return entered;
    },
    handOn: (entered, inputs) => {
      watched = onInputs(inputs).finally(() => underway.delete(entered));
    },
    leave: (entered) => {
      underway.delete(entered);
    },
    watched: () => watched,
    oldestMs: () => {
      let oldest: number | null = null;
      for (const { receivedMs } of underway) oldest = Math.min(oldest ?? receivedMs, receivedMs);
      return oldest;
    },
  };
}
