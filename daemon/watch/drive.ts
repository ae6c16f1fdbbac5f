import type { Happening } from '../../shared/contract/event.ts';
import type { Input } from '../../shared/contract/input.ts';
import type { WatchRules } from './rules.ts';
import { nextWakeMs, step, type Watching } from './step.ts';

/** Ticks that one advance may take; more means that a tick did not move its wake, which is a bug. */
const ticksMax = 1_000_000;

/** Feeds every tick due at or before `toMs`, each at its own instant, and returns what came of them. */
export function advance(state: Watching, toMs: number, rules: WatchRules): Happening[] {
  const events: Happening[] = [];
  for (let ticks = 0; ; ticks++) {
    const wakeMs = nextWakeMs(state);
    if (wakeMs === null || wakeMs > toMs) return events;
    if (ticks >= ticksMax) throw new Error(`a tick at ${wakeMs} asks for itself again and again`);
    for (const event of step(state, { kind: 'tick', atMs: wakeMs }, rules).events) events.push(event);
  }
}

/** Feeds the ticks due before an input's receipt and then the input: the one order of live, resume and replay. */
export function drive(state: Watching, input: Input, rules: WatchRules): Happening[] {
  const events = advance(state, dueBefore(input), rules);
  for (const event of step(state, input, rules).events) events.push(event);
  return events;
}

/** Up to when time had passed, by the clock of before, when this input came. */
function dueBefore(input: Input): number {
  switch (input.kind) {
    case 'reading':
    case 'word':
      return input.receivedMs;
    case 'clock':
      return input.receivedMs - input.deltaMs;
    case 'start':
      // Nobody listened between the end of the last run and this start: nothing fell due in that time alone.
      return input.aliveUntilMs ?? input.receivedMs;
    default:
      return input satisfies never;
  }
}
