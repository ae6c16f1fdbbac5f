/** What a lane does about a probe that is not believed: it says so, and nothing doubted feeds a verdict. */
import type { Happening } from '../../shared/contract/event.ts';
import type { Reading } from '../../shared/contract/input.ts';
import { lawOf } from '../forecast/heat-draws.ts';
import { type HeatBank, openHeatBank } from '../forecast/heat-forecast.ts';
import { openCrossing } from './crossing.ts';
import { restartHold, tickHold } from './hold-step.ts';
import type { Lane } from './lane.ts';
import type { PotKnown } from './pot-trust.ts';
import { feelTrust, type Trust } from './probe-trust.ts';
import { type Sayer, sayOf } from './saying.ts';

export type Judging = { receivedMs: number; watch: Sayer | null };

/**
 * Feels whether a reading can be believed, and says so where that turns; a late one of a doubted probe is not.
 * `suspect` readings feed no heat: what they are is not known yet. A hold takes them, since one under breaks it.
 */
export function judgeTrust(
  lane: Lane,
  reading: Reading & { late: boolean },
  { receivedMs, watch }: Judging,
): { usable: boolean; suspect: boolean; said: Happening[] } {
  const { atMs, late, tempC } = reading;
  if (late) return { usable: lane.trust.doubt === null, suspect: lane.trust.pot.before !== null, said: [] };
  const before = lane.trust.doubt;
  const { suspect, turned, usable } = feelTrust(lane.trust, { atMs, tempC }, potOf(lane));
  if (standsStill(lane)) return { usable: true, suspect: false, said: [] };
  if (turned === null) return { usable, suspect, said: [] };
  const { doubt } = lane.trust;
  const turns = doubt === null ? believePot(lane, before) : doubtPot(lane, doubt, receivedMs);
  if (watch === null) return { usable, suspect, said: turns };
  const about = { watch: watch.id, probe: lane.probe };
  if (doubt === null) {
    const body = { weight: 'tell', ...about, tempC } as const;
    return { usable, suspect, said: [sayOf(watch, { kind: 'probe-trusted', atMs: receivedMs, body })] };
  }
  const body = { weight: 'warn', ...about, ...doubt } as const;
  return {
    usable,
    suspect,
    said: [sayOf(watch, { kind: 'probe-doubted', atMs: receivedMs, body }), ...turns],
  };
}

/** What is held is meant to stand still: that its readings do so is no reason to doubt them. */
export function standsStill({ hold, trust }: Pick<Lane, 'hold' | 'trust'>): boolean {
  return trust.doubt?.why === 'stuck' && hold !== null && hold.guarded.startMs !== null;
}

/** What is known of the pot that a probe hangs in; null where no pot is watched, or while one is cooled after its hold. */
function potOf({ heat, hold }: Lane): PotKnown | null {
  const bank = heat?.bank ?? (hold?.proof === null ? hold.bank : null);
  return bank === null ? null : { law: lawOf(bank), volumeL: bank.told.volumeL };
}

/** No cue is made from a doubted curve; what a probe on the bottom said before it was found proves nothing. */
function doubtPot({ heat, hold }: Lane, { why }: NonNullable<Trust['doubt']>, atMs: number): Happening[] {
  if (heat !== null) {
    heat.verdict = 'doubted';
    heat.turning = null;
    heat.offDueMs = null;
    heat.forecastDueMs = null;
    if (why === 'touching-bottom' && !heat.reached) {
      heat.typed = openCrossing();
      heat.guarded = openCrossing();
    }
  }
  if (hold === null) return [];
  hold.verdict = 'doubted';
  if (why !== 'touching-bottom') return [];
  restartHold(hold, atMs, 'doubted');
  return tickHold(hold, atMs);
}

/** What was learned from a probe on the bottom is forgotten; any other doubt leaves a curve to go on from. */
function believePot({ heat, hold }: Lane, before: Trust['doubt']): Happening[] {
  const again = (bank: HeatBank) => (before?.why === 'touching-bottom' ? openHeatBank(bank.told) : bank);
  if (heat !== null) {
    heat.verdict = 'unsure';
    heat.bank = again(heat.bank);
  }
  if (hold !== null) {
    hold.verdict = 'unsure';
    hold.bank = again(hold.bank);
  }
  return [];
}
