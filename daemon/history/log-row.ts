/**
 * One commit's readings as one packed row: what a second of eight probes costs the disk is pages, not
 * readings. A reading is told by what differs from the one of its series before it in the row.
 */
import { crc32 } from 'node:zlib';
import { openByteReader } from './byte-reader.ts';
import { openByteWriter } from './byte-writer.ts';

/** A reading of a commit; its number follows from its place. `tMs` is UTC in era 0, else the era's steady clock. */
export type LoggedReading = {
  series: number;
  era: number;
  tMs: number;
  tempC: number;
  flags: number;
  receivedMs: number;
};

/** The first byte of a row; rows of the first format, in which nothing is told by another series, are read, too. */
const rowFormats = { byItself: 1, byOthers: 2 } as const;
/** What a reading's first byte says beside its kind of value. */
const told = { flags: 4, step: 8, lag: 16 } as const;
const grids = [16, 1000] as const;
const plainKind = 2;

/** What was told last of a series and era in this row. */
type Before = {
  series: number;
  era: number;
  tMs: number;
  stepMs: number;
  lagMs: number;
  flags: number;
  numbers: number[];
};

/** Packs at least one reading, in the order of their numbers; the last four bytes are a CRC-32 of the others. */
export function packCommit(readings: readonly LoggedReading[]): Uint8Array {
  const baseMs = readings[0]?.receivedMs ?? 0;
  const to = openByteWriter(32 + readings.length * 8);
  to.byte(rowFormats.byOthers);
  to.varint(baseMs);
  const slots = new Map<number, Map<number, number>>();
  const befores: Before[] = [];
  const likes = new Map<number, Before>();
  for (const reading of readings) {
    let ofSeries = slots.get(reading.series);
    if (ofSeries === undefined) {
      ofSeries = new Map();
      slots.set(reading.series, ofSeries);
    }
    let slot = ofSeries.get(reading.era);
    to.varint(slot ?? befores.length);
    if (slot === undefined) {
      slot = befores.length;
      ofSeries.set(reading.era, slot);
      befores.push(beforeAny(reading, { baseMs, like: likes.get(reading.era) }));
      to.varint(reading.series);
      to.varint(reading.era);
    }
    const before = befores[slot] as Before;
    packReading(to, reading, before);
    likes.set(reading.era, before);
  }
  const bytes = to.bytes();
  const sum = crc32(bytes);
  to.append(Uint8Array.of(sum & 255, (sum >>> 8) & 255, (sum >>> 16) & 255, sum >>> 24));
  return to.bytes();
}

/** What a series begins with in a row: what was told last of another one of its era, where there is one. */
function beforeAny(
  { series, era }: { series: number; era: number },
  { baseMs, like }: { baseMs: number; like: Before | undefined },
): Before {
  const { tMs, lagMs, flags } = like ?? { tMs: baseMs, lagMs: 0, flags: 0 };
  return { series, era, tMs, stepMs: 0, lagMs, flags, numbers: [0, 0] };
}

function packReading(
  to: ReturnType<typeof openByteWriter>,
  { tMs, tempC, flags, receivedMs }: LoggedReading,
  before: Before,
): void {
  const kind = kindOf(tempC);
  const stepMs = tMs - before.tMs;
  const lagMs = receivedMs - tMs;
  const toldFlags = flags === before.flags ? 0 : told.flags;
  const toldStep = stepMs === before.stepMs ? 0 : told.step;
  const toldLag = lagMs === before.lagMs ? 0 : told.lag;
  to.byte(kind | toldFlags | toldStep | toldLag);
  if (toldFlags !== 0) to.byte(flags);
  if (toldStep !== 0) to.signed(stepMs - before.stepMs);
  if (toldLag !== 0) to.signed(lagMs - before.lagMs);
  if (kind === plainKind) to.doubles([tempC]);
  else {
    const number = Math.round(tempC * (grids[kind] as number));
    to.signed(number - (before.numbers[kind] as number));
    before.numbers[kind] = number;
  }
  before.tMs = tMs;
  before.stepMs = stepMs;
  before.lagMs = lagMs;
  before.flags = flags;
}

function kindOf(tempC: number): number {
  for (const [kind, scale] of grids.entries()) {
    if (Math.round(tempC * scale) / scale === tempC) return kind;
  }
  return plainKind;
}

/**
 * Hands each of a row's `count` readings to `take`, in the order of their numbers; false where the row is
 * damaged: with nothing handed over where its sum does not fit, with all that it holds where only `count` is wrong. The object handed over is one that is used again.
 */
export function unpackCommit(
  bytes: Uint8Array,
  count: number,
  take: (reading: LoggedReading) => void,
): boolean {
  const end = bytes.length - 4;
  if (end < 1) return false;
  const sum = new DataView(bytes.buffer, bytes.byteOffset).getUint32(end, true);
  const byOthers = bytes[0] === rowFormats.byOthers;
  const isKnown = byOthers || bytes[0] === rowFormats.byItself;
  if (sum !== crc32(bytes.subarray(0, end)) || !isKnown) return false;
  const from = openByteReader(bytes.subarray(1, end));
  const baseMs = from.varint();
  const befores: Before[] = [];
  const likes = new Map<number, Before>();
  const reading: LoggedReading = { series: 0, era: 0, tMs: 0, tempC: 0, flags: 0, receivedMs: 0 };
  let many = 0;
  for (; !from.isAtEnd; many++) {
    const slot = from.varint();
    if (slot === befores.length) {
      const [series, era] = [from.varint(), from.varint()];
      befores.push(beforeAny({ series, era }, { baseMs, like: byOthers ? likes.get(era) : undefined }));
    }
    const before = befores[slot] as Before;
    unpackReading(from, before, { into: reading, byOthers });
    likes.set(before.era, before);
    take(reading);
  }
  return many === count;
}

function unpackReading(
  from: ReturnType<typeof openByteReader>,
  before: Before,
  { into, byOthers }: { into: LoggedReading; byOthers: boolean },
): void {
  const said = from.byte();
  const kind = said & 3;
  if ((said & told.flags) !== 0) before.flags = from.byte();
  if ((said & told.step) !== 0) before.stepMs = from.signed() + (byOthers ? before.stepMs : 0);
  if ((said & told.lag) !== 0) before.lagMs += from.signed();
  before.tMs += before.stepMs;
  if (kind === plainKind) into.tempC = from.double();
  else {
    before.numbers[kind] = (before.numbers[kind] as number) + from.signed();
    into.tempC = (before.numbers[kind] as number) / (grids[kind] as number);
  }
  into.series = before.series;
  into.era = before.era;
  into.tMs = before.tMs;
  into.flags = before.flags;
  into.receivedMs = before.tMs + before.lagMs;
}
