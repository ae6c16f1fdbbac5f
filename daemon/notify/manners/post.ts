/** Turns what a receiver is to be told into letters by ways, with a bound on how many a person gets. */
import type { Weight } from '../../../shared/contract/event.ts';
import { letterEventsMax } from '../../../shared/contract/notify.ts';
import { type MannersRules, type Receiver, rankOf } from './rules.ts';
import type { Burst, Draft, Manners } from './state.ts';

/** One step of the manners under way. */
export type Turn = {
  state: Manners;
  rules: MannersRules;
  nowMs: number;
  drafts: Draft[];
  /** How many matters there are: counting them anew for each of ten thousand events takes seconds. */
  matters: number;
};

/** Letters to one receiver within a minute; more are gathered into one that counts them. */
export const lettersPerMinuteMax = 20;
const burstMs = 60_000;

export type Saying = Pick<Draft, 'id' | 'matter' | 'weight' | 'why'> & { seqs: number[]; more?: number };

/** Writes a letter to one receiver, or gathers it where too many came in a minute. */
export function post(turn: Turn, receiver: Receiver, saying: Saying): void {
  if (gathers(turn, receiver, saying)) return;
  write(turn, receiver, saying);
}

/** Writes the letters that gathered, where their minute is over. */
export function endBursts(turn: Turn): void {
  for (const receiver of turn.rules.receivers) {
    const burst = turn.state.bursts[receiver.id];
    if (burst === undefined || burst.fromMs + burstMs > turn.nowMs) continue;
    delete turn.state.bursts[receiver.id];
    writeGathered(turn, receiver, burst);
  }
}

function writeGathered(turn: Turn, receiver: Receiver, { fromMs, seqs, more, weight }: Burst): void {
  if (seqs.length === 0) return;
  const id = `many/${receiver.id}/${fromMs}`;
  write(turn, receiver, { id, matter: null, weight, why: 'many', seqs, more });
}

/** When the earliest burst with something gathered ends; Infinity where there is none. */
export function burstsEndMs(state: Manners): number {
  const waiting = Object.values(state.bursts).filter(({ seqs }) => seqs.length > 0);
  return Math.min(Infinity, ...waiting.map(({ fromMs }) => fromMs + burstMs));
}

function gathers(turn: Turn, receiver: Receiver, { seqs, weight, why }: Saying): boolean {
  if (why === 'digest') return false;
  const { bursts } = turn.state;
  const known = bursts[receiver.id];
  const isFresh = known !== undefined && known.fromMs + burstMs > turn.nowMs && known.fromMs <= turn.nowMs;
  if (!isFresh && known !== undefined) writeGathered(turn, receiver, known);
  const burst = isFresh
    ? known
    : { fromMs: turn.nowMs, count: 0, seqs: [], more: 0, weight: 'tell' as Weight };
  bursts[receiver.id] = burst;
  burst.count += 1;
  if (burst.count <= lettersPerMinuteMax) return false;
  if (rankOf(weight) > rankOf(burst.weight)) burst.weight = weight;
  for (const seq of seqs) {
    if (burst.seqs.length < letterEventsMax) burst.seqs.push(seq);
    else burst.more += 1;
  }
  return true;
}

function write(turn: Turn, receiver: Receiver, { more = 0, ...saying }: Saying): void {
  for (const way of waysFor(receiver, saying.weight, turn.state.failing)) {
    turn.drafts.push({ ...saying, more, receiver: receiver.id, way, madeAtMs: turn.nowMs });
  }
}

/** The ways of a letter: of those that work a tell takes the first, a warn two, an alarm all. */
export function waysFor(receiver: Receiver, weight: Weight, failing: readonly string[]): string[] {
  const working = receiver.ways.filter((way) => !failing.includes(way));
  // Where none works the dearest is tried on: it may come back.
  if (working.length === 0) return receiver.ways.slice(0, 1);
  return working.slice(0, weight === 'alarm' ? working.length : weight === 'warn' ? 2 : 1);
}
