/** What a heat forecast remembers: a few guesses of the pot, followed side by side, bounded for any length. */
import {
  forgetTemp,
  type HeatFilter,
  heatPlaces,
  openHeatFilter,
  predictHeat,
  seeHeat,
  turnedBurner,
} from './heat-filter.ts';
import { type HeatLaw, heatLaw } from './heat-law.ts';
import { heatGuess, heatPriors } from './heat-priors.ts';

/** What is known of a pot beforehand. */
export type HeatTold = { roomC: number | null; heightM: number; volumeL: number | null };

/** Everything that a heat forecast knows: plain JSON, under 6 KB however long the watch lasts. */
export type HeatBank = {
  v: 1;
  told: HeatTold;
  /** The room, °C, with which the losses are reckoned; measured where it is. */
  roomC: number;
  filters: HeatFilter[];
  /** To where the filters have come; null before the first closed bin. */
  atMs: number | null;
  /** The bin being filled: its number, sum and count of readings, sum of offsets in ms, and the newest instant. */
  open: { bin: number; sumC: number; count: number; sumMs: number; lastMs: number } | null;
  /** How a bin scatters around the milk, °C, from how much bins half a minute apart bend. */
  noiseC: number;
  /** The last minute of bins, for the bend of the next. */
  bends: [number, number][];
  /** One-sided sums of what came unexpected, in standard deviations: up and down. */
  up: number;
  down: number;
  /** When the sums last rose from nothing. */
  upMs: number;
  downMs: number;
  /** When a turn of the burner was last thought possible; null where never. */
  thoughtMs: number | null;
  /** When the burner was last found turned; null where never. */
  turnedMs: number | null;
  /** How often it was found turned. */
  turns: number;
  /** Jumps in a row, each against the guesses. */
  jumps: number;
};

/** Readings are averaged over this before the filters see them. */
export const heatBinMs = 10_000;
/** Readings outside these temperatures, °C, are a broken wire and not milk. */
const readableC = { least: -10, most: 115 } as const;
/** After a gap longer than this the guesses begin again. */
const gapMsMax = 20 * 60_000;
/**
 * Drift taken off, and sum at which a turn of the burner is thought possible, in standard deviations (Page 1954);
 * how much less likely a turn is beforehand than none, as a log; and from which share one story is dropped.
 */
export const turnRule = { drift: 0.5, thought: 4.5, against: 2.7, sure: 0.97, found: 0.9 } as const;
/** The least span between two thoughts of a turn. */
const thoughtEveryMs = 60_000;
/** Guesses followed side by side; the least likely goes when one more comes. */
export const heatFiltersMax = 16;
/** Guesses further behind the best than this, in log-likelihood, stay that far: the pot may change. */
const behindMax = 14;
/** A room nobody measured, °C. */
const usualRoomC = 20;

export function openHeatBank(told: HeatTold): HeatBank {
  return {
    v: 1,
    told,
    roomC: told.roomC ?? usualRoomC,
    filters: [],
    atMs: null,
    open: null,
    noiseC: 0.06,
    bends: [],
    up: 0,
    down: 0,
    upMs: 0,
    downMs: 0,
    thoughtMs: null,
    turnedMs: null,
    turns: 0,
    jumps: 0,
  };
}

/** Tables are made anew only when room or height change; a few are kept for pots side by side. */
const laws = new Map<string, HeatLaw>();
const lawsMax = 64;

/** The losses' tables of a bank. They follow from the bank alone, so that keeping them changes no answer. */
export function lawOf(bank: HeatBank): HeatLaw {
  const key = `${bank.roomC}/${bank.told.heightM}`;
  let law = laws.get(key);
  if (law === undefined) {
    if (laws.size >= lawsMax) laws.clear();
    law = heatLaw(bank.roomC, bank.told.heightM);
    laws.set(key, law);
  }
  return law;
}

/**
 * Takes over `bank` and feeds a reading; one older than the newest bin changes nothing. Returns true where
 * that closed a bin.
 */
export function feedHeat(bank: HeatBank, reading: { atMs: number; tempC: number }): boolean {
  const { atMs, tempC } = reading;
  if (!(tempC >= readableC.least && tempC <= readableC.most) || !Number.isFinite(atMs)) return false;
  const bin = Math.floor(atMs / heatBinMs);
  const closes = bank.open !== null && bin > bank.open.bin;
  if (closes) closeBin(bank);
  if (bank.open === null) bank.open = { bin, sumC: 0, count: 0, sumMs: 0, lastMs: atMs };
  if (bin < bank.open.bin) return false;
  bank.open.sumC += tempC;
  bank.open.count += 1;
  bank.open.sumMs += atMs - bin * heatBinMs;
  bank.open.lastMs = Math.max(bank.open.lastMs, atMs);
  return closes;
}

/** Feeds the temperature of the room that was measured; the losses go by it from now on. */
export function feedRoom(bank: HeatBank, tempC: number): void {
  if (!(tempC >= -20 && tempC <= 60)) return;
  // Whole degrees, so that a wavering room does not make new tables each time.
  const roomC = Math.round(tempC);
  if (Math.abs(tempC - bank.roomC) > 0.7 || bank.told.roomC === null) bank.roomC = roomC;
  bank.told = { ...bank.told, roomC };
}

/** Takes over `bank` with every instant later by `deltaMs`. */
export function shiftHeatBank(bank: HeatBank, deltaMs: number): HeatBank {
  const later = (atMs: number | null) => (atMs === null ? null : atMs + deltaMs);
  // The bin being filled is let go: its number belongs to the clock of before.
  return {
    ...bank,
    filters: bank.filters.map((filter) => ({ ...filter, turnedMs: later(filter.turnedMs) })),
    atMs: later(bank.atMs),
    open: null,
    bends: bank.bends.map(([atMs, tempC]): [number, number] => [atMs + deltaMs, tempC]),
    upMs: bank.upMs + deltaMs,
    downMs: bank.downMs + deltaMs,
    thoughtMs: later(bank.thoughtMs),
    turnedMs: later(bank.turnedMs),
  };
}

/** A copy that has also seen the bin being filled: what is known up to now. */
export function upToNow(bank: HeatBank): HeatBank {
  const copy = structuredCloneOf(bank);
  if (copy.open !== null) closeBin(copy);
  return copy;
}

/** The weights of a bank's guesses; they sum to 1. */
export function heatWeights(bank: HeatBank): number[] {
  const best = Math.max(...bank.filters.map(({ logLike }) => logLike));
  const raw = bank.filters.map(({ logLike }) => Math.exp(logLike - best));
  const sum = raw.reduce((total, value) => total + value, 0);
  return raw.map((value) => value / sum);
}

function structuredCloneOf(bank: HeatBank): HeatBank {
  return {
    ...bank,
    filters: bank.filters.map((filter) => ({ ...filter, state: [...filter.state], cov: [...filter.cov] })),
    bends: bank.bends.map(([atMs, tempC]): [number, number] => [atMs, tempC]),
    open: bank.open === null ? null : { ...bank.open },
  };
}

function closeBin(bank: HeatBank): void {
  const { bin, sumC, count, sumMs } = bank.open as NonNullable<HeatBank['open']>;
  bank.open = null;
  const atMs = bin * heatBinMs + sumMs / count;
  const seenC = sumC / count;
  bend(bank, atMs, seenC);
  if (bank.atMs === null || atMs - bank.atMs > gapMsMax) {
    bank.filters = heatPriors(bank.told.volumeL).map((prior) => openHeatFilter(prior, seenC));
    bank.atMs = atMs;
    bank.up = 0;
    bank.down = 0;
    return;
  }
  const law = lawOf(bank);
  const spanMin = (atMs - bank.atMs) / 60_000;
  const noiseC = heatGuess.streaks * Math.max(0.025, bank.noiseC);
  const weights = heatWeights(bank);
  let off = 0;
  for (const [place, filter] of bank.filters.entries()) {
    predictHeat(filter, law, spanMin);
    off += (weights[place] as number) * seeHeat(filter, seenC, noiseC);
  }
  bank.atMs = atMs;
  keepNear(bank);
  watchJumps(bank, off, seenC);
  watchTurns(bank, off, atMs);
}

/**
 * Learns the scatter of bins from how far each lies off the line of two half a minute away: warm streaks in
 * the milk last for about ten seconds, so that nearer ones would hide them.
 */
function bend(bank: HeatBank, atMs: number, tempC: number): void {
  const { bends } = bank;
  const middle = bends.findLast(([ms]) => ms <= atMs - bendMs + 1_000);
  const before = middle && bends.findLast(([ms]) => ms <= middle[0] - bendMs + 1_000);
  if (middle !== undefined && before !== undefined) {
    const share = (middle[0] - before[0]) / (atMs - before[0]);
    const off = Math.abs(middle[1] - (before[1] + share * (tempC - before[1]))) / 1.22;
    // The mean size of a normal scatter is 0.8 of its deviation.
    bank.noiseC += 0.03 * (Math.min(4 * bank.noiseC, off * 1.25) - bank.noiseC);
  }
  bends.push([atMs, tempC]);
  while (bends.length > bendsMax || (bends[1]?.[0] ?? atMs) < atMs - 2 * bendMs - 5_000) bends.shift();
}

/** Half of the span over which a bend is looked at. */
const bendMs = 30_000;
/** Bins kept for bends; more than a minute of them is not needed. */
const bendsMax = 9;

function keepNear(bank: HeatBank): void {
  const best = Math.max(...bank.filters.map(({ logLike }) => logLike));
  for (const filter of bank.filters) filter.logLike = Math.max(-behindMax, filter.logLike - best);
}

/** Three jumps in a row to one side are where the milk is now: stirred, moved probe, cold milk added. */
function watchJumps(bank: HeatBank, off: number, seenC: number): void {
  bank.jumps = Math.abs(off) > 6 ? bank.jumps + Math.sign(off) : 0;
  if (Math.abs(bank.jumps) < 3) return;
  bank.jumps = 0;
  bank.up = 0;
  bank.down = 0;
  for (const filter of bank.filters) {
    forgetTemp(filter, 3 + Math.abs(seenC - (filter.state[heatPlaces.temp] as number)));
  }
}

/**
 * Page's cumulative sums: a burner that was turned leaves the guesses behind on one side, again and again. Then
 * each guess is followed twice, with its burner turned and without, until one story is surely the better.
 */
function watchTurns(bank: HeatBank, off: number, atMs: number): void {
  settleTurn(bank);
  const bounded = Math.max(-3, Math.min(3, off));
  const upBefore = bank.up;
  const downBefore = bank.down;
  bank.up = Math.max(0, bank.up + bounded - turnRule.drift);
  bank.down = Math.max(0, bank.down - bounded - turnRule.drift);
  if (upBefore === 0 && bank.up > 0) bank.upMs = atMs;
  if (downBefore === 0 && bank.down > 0) bank.downMs = atMs;
  const up = bank.up > turnRule.thought;
  if (!up && bank.down <= turnRule.thought) return;
  if (bank.thoughtMs !== null && atMs - bank.thoughtMs < thoughtEveryMs) return;
  const sinceMs = up ? bank.upMs : bank.downMs;
  bank.thoughtMs = atMs;
  bank.up = 0;
  bank.down = 0;
  const weights = heatWeights(bank);
  const turned = bank.filters
    .filter((_, place) => (weights[place] as number) > 1e-3)
    .map((filter) => turnedBurner(filter, sinceMs))
    .map((filter) => ({ ...filter, logLike: filter.logLike - turnRule.against }));
  bank.filters = [...bank.filters, ...turned].sort((a, b) => b.logLike - a.logLike).slice(0, heatFiltersMax);
}

/** Drops the stories that are surely worse than the best of them: turned then, or not. */
function settleTurn(bank: HeatBank): void {
  const weights = heatWeights(bank);
  const shares = new Map<number | null, number>();
  for (const [place, { turnedMs }] of bank.filters.entries()) {
    shares.set(turnedMs, (shares.get(turnedMs) ?? 0) + (weights[place] as number));
  }
  for (const [turnedMs, share] of shares) {
    if (share > turnRule.found && turnedMs !== null && turnedMs !== bank.turnedMs) {
      bank.turnedMs = turnedMs;
      bank.turns += 1;
    }
    if (share > turnRule.sure) bank.filters = bank.filters.filter((filter) => filter.turnedMs === turnedMs);
  }
}
