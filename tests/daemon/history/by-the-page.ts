/**
 * A reader of `history.db` written from `deploy/docs/history-format.md` alone, as another program would be: it
 * imports nothing of the house, so that the page is tested with it.
 */
import type { DatabaseSync } from 'node:sqlite';
import { crc32 } from 'node:zlib';

export type PageReading = { atMs: number; tempC: number; flags: number };

type Row = Record<string, number | null> & { readings: Uint8Array; minutes: Uint8Array };

const headColumns =
  'series era firstMs lastMs count topSeq dated minC maxC sumC newestMs newestC newestFlags'.split(' ');

/** Every sealed reading of a probe in known UTC, in order; throws where a sum does not fit. */
export function sealedReadings(database: DatabaseSync, probe: string): PageReading[] {
  const rows = database
    .prepare(
      'SELECT b.* FROM blocks b JOIN series s USING (series) WHERE s.probe = ? AND era = 0 ORDER BY firstMs',
    )
    .all(probe) as Row[];
  return rows.flatMap((row) => {
    const head = new DataView(new ArrayBuffer(8 * headColumns.length));
    headColumns.forEach((name, place) => {
      head.setFloat64(place * 8, row[name] ?? -Infinity, true);
    });
    const headCheck = crc32(row.minutes, crc32(new Uint8Array(head.buffer)));
    if (headCheck !== row.headCheck) throw new Error('headCheck does not fit');
    if (crc32(row.readings, headCheck) !== row.bodyCheck) throw new Error('bodyCheck does not fit');
    return readBlock(row.readings);
  });
}

function readBlock(packed: Uint8Array): PageReading[] {
  const from = openBytes(packed);
  if (from.byte() !== 1) throw new Error('another format');
  const count = from.number();
  const flags: number[] = [];
  while (flags.length < count) {
    const value = from.byte();
    flags.push(...Array<number>(from.number()).fill(value));
  }
  const atMs = readStamps(from, count);
  const tempC = readValues(from, count);
  return atMs.map((at, place) => ({
    atMs: at,
    tempC: tempC[place] as number,
    flags: flags[place] as number,
  }));
}

function readStamps(from: Bytes, count: number): number[] {
  if (from.byte() === 1) {
    const first = from.number();
    return readSeries(from, count).map((since) => first + since);
  }
  const atMs = [from.number()];
  const interval = from.signed();
  const later = new Map<number, number>();
  let place = 0;
  for (let exceptions = from.number(); exceptions > 0; exceptions--) {
    place += from.number();
    later.set(place, from.signed());
  }
  for (let index = 1; index < count; index++) {
    atMs.push((atMs[index - 1] as number) + interval + (later.get(index) ?? 0));
  }
  return atMs;
}

function readValues(from: Bytes, count: number): number[] {
  const kind = from.byte();
  if (kind === 0) {
    const scale = from.number();
    return readSeries(from, count).map((steps) => steps / scale);
  }
  if (kind === 2) return Array.from({ length: count }, from.double);
  const table = Array.from({ length: from.number() }, from.double);
  return readSeries(from, count).map((place) => table[place] as number);
}

function readSeries(from: Bytes, count: number): number[] {
  const first = from.signed();
  const slope = from.signed();
  const [levelGain, leanGain] = [from.number(), from.number()];
  const decide = openDecisions(from.part(from.number()));
  const numbers = [first];
  let level = first * 65_536;
  let lean = slope;
  let busy = 0;
  while (numbers.length < count) {
    const predicted = level + lean;
    const nearest = Math.floor(predicted / 65_536 + 0.5);
    const beyond = predicted - nearest * 65_536;
    const part = Math.floor(Math.abs(beyond) / 2048);
    const { size, side } = readMiss(decide, busy, part);
    const isUp = side === 1 ? beyond >= 0 : beyond < 0;
    const number = nearest + (isUp ? size : -size);
    numbers.push(number);
    const error = number * 65_536 - predicted;
    level = size > 1_048_576 ? number * 65_536 : predicted + Math.floor((error * levelGain) / 256);
    lean = size > 1_048_576 ? slope : lean + Math.floor((error * leanGain) / 65_536);
    busy = size > 2 ? 2 : size === 2 || (size === 1 && busy === 2) ? 1 : size === 0 ? 0 : busy;
  }
  return numbers;
}

function readMiss(decide: (context: number) => number, busy: number, part: number) {
  if (decide(17 * busy + part) === 1) return { size: 0, side: 0 };
  const side = decide(64 + 17 * busy + part);
  const more = 128 + 20 * (4 * busy + 2 * side + (part >= 8 ? 1 : 0));
  let size = 1;
  while (size < 21 && decide(more + size - 1) === 1) size += 1;
  if (size < 21) return { size, side };
  let bits = 0;
  while (decide(384 + bits) === 1) bits += 1;
  let beyond = 1;
  for (let bit = bits - 1; bit >= 0; bit--) beyond = beyond * 2 + decide(448 + bit);
  return { size: 20 + beyond, side };
}

function openDecisions(bytes: Uint8Array): (context: number) => number {
  const likelihoods = new Map<number, { of: number; asked: number }>();
  let at = 0;
  const next = (): number => bytes[at++] ?? 0;
  let range = 0x7fffffff;
  let code = 0;
  for (let index = 0; index < 4; index++) code = code * 256 + next();
  return (context) => {
    const known = likelihoods.get(context) ?? { of: 2 ** 21, asked: 0 };
    likelihoods.set(context, known);
    const upper = Math.floor(known.of / 1024);
    const bound = Math.floor(range / 4096) * (upper % 2 === 0 ? upper + 1 : upper);
    const decision = code < bound ? 1 : 0;
    if (decision === 0) code -= bound;
    range = decision === 1 ? bound : range - bound;
    const rate = Math.floor(16_384 / (known.asked + 1.6));
    const way = decision === 1 ? 2 ** 22 - 1 - known.of : known.of;
    const moved = Math.floor((Math.floor(way / 64) * rate) / 256);
    known.of += decision === 1 ? moved : -moved;
    known.asked = Math.min(255, known.asked + 1);
    while (range < 0x800000) {
      range *= 256;
      code = code * 256 + next();
    }
    return decision;
  };
}

type Bytes = ReturnType<typeof openBytes>;

function openBytes(bytes: Uint8Array) {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let at = 0;
  const byte = (): number => view.getUint8(at++);
  const number = (): number => {
    const next = byte();
    return next < 128 ? next : next - 128 + 128 * number();
  };
  return {
    byte,
    number,
    signed: (): number => {
      const told = number();
      return told % 2 === 0 ? told / 2 : -(told + 1) / 2;
    },
    double: (): number => {
      at += 8;
      return view.getFloat64(at - 8, true);
    },
    part: (length: number): Uint8Array => {
      at += length;
      return bytes.subarray(at - length, at);
    },
  };
}
