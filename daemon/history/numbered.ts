/** Readings by their numbers, and which of them are in blocks alone, for who copies the history elsewhere. */
import type { Database } from '../sqlite/database.ts';
import { openLog } from './log.ts';

/** One reading of the log: UTC as far as it is known by now, °C as read, `readingFlags`. */
export type NumberedReading = {
  inputSeq: number;
  probe: string;
  atMs: number;
  tempC: number;
  flags: number;
  receivedMs: number;
};

/**
 * What the log has let go of: the stretches of time whose blocks hold readings numbered above a number, and
 * where the log is to be followed from after these. Readings numbered up to a probe's `sealedSeqs` are in
 * blocks, though the log may hold them still.
 */
export type Unlogged = {
  stretches: { probe: string; fromMs: number; toMs: number }[];
  followFromSeq: number;
  sealedSeqs: Record<string, number>;
};

export type Numbered = {
  /** Returns up to `limit` readings of the log numbered above `inputSeq`, in order; fewer are the last. */
  numberedAfter(inputSeq: number, limit: number): NumberedReading[];
  /** Returns what follows a number and is not in the log any more; null where all of it is. */
  unloggedAfter(inputSeq: number): Unlogged | null;
};

type BlockRow = { probe: string; firstMs: number; lastMs: number; topSeq: number; offsetMs: number };

/** The most stretches of one answer; more are joined to longer ones, which hold more than is wanted. */
const stretchesMax = 200;

/** Opens the questions on a read-only connection. */
export function openNumbered(database: Database): Numbered {
  const probes = database.prepare<{ series: number; probe: string }>('SELECT series, probe FROM series');
  const offsets = database.prepare<{ era: number; offsetMs: number }>('SELECT era, offsetMs FROM eras');
  const log = openLog(database);
  const logEdge = database.prepare<{ firstSeq: number | null }>('SELECT min(firstSeq) AS firstSeq FROM log');
  const topOfAll = database.prepare<{ topSeq: number | null }>('SELECT max(topSeq) AS topSeq FROM blocks');
  const freshFrom = database.prepare<{ value: number }>(
    "SELECT value FROM marks WHERE name = 'freshFromSeq'",
  );
  const blocks = database.prepare<BlockRow>(
    `SELECT probe, firstMs, lastMs, topSeq, offsetMs FROM blocks JOIN series USING (series) JOIN eras USING (era)
     ORDER BY series, era, firstMs`,
  );
  const sealed = database.prepare<{ probe: string; sealedSeq: number }>(
    'SELECT probe, min(sealedSeq) AS sealedSeq FROM sealed JOIN series USING (series) GROUP BY series',
  );

  const numberedAfter = (inputSeq: number, limit: number): NumberedReading[] => {
    const probeOf = new Map(probes.all().map(({ series, probe }) => [series, probe]));
    const offsetOf = new Map(offsets.all().map(({ era, offsetMs }) => [era, offsetMs]));
    return log.after(inputSeq, limit, ({ series, era, tMs, tempC, flags, receivedMs }, seq) => {
      const atMs = tMs + (offsetOf.get(era) ?? 0);
      return { inputSeq: seq, probe: probeOf.get(series) ?? '', atMs, tempC, flags, receivedMs };
    });
  };

  return {
    numberedAfter: (inputSeq, limit) => database.snapshot(() => numberedAfter(inputSeq, limit)),
    unloggedAfter: (inputSeq) =>
      database.snapshot(() => {
        const logFromSeq = logEdge.first()?.firstSeq ?? Number.POSITIVE_INFINITY;
        const topSeq = topOfAll.first()?.topSeq ?? 0;
        if (logFromSeq <= inputSeq + 1 || topSeq <= inputSeq) return null;
        const sealedSeqs = Object.fromEntries(sealed.all().map(({ probe, sealedSeq }) => [probe, sealedSeq]));
        const freshFromSeq = freshFrom.first()?.value ?? 0;
        const followFromSeq = Math.max(inputSeq, Math.min(freshFromSeq, topSeq + 1) - 1);
        return { stretches: stretchesOf(blocks.all(), inputSeq), followFromSeq, sealedSeqs };
      }),
  };
}

/** The stretches of blocks with a higher number; blocks beside each other make one. */
function stretchesOf(rows: readonly BlockRow[], inputSeq: number): Unlogged['stretches'] {
  const found: Unlogged['stretches'] = [];
  let isOpen = false;
  for (const { probe, firstMs, lastMs, topSeq, offsetMs } of rows) {
    const last = found.at(-1);
    if (topSeq <= inputSeq) isOpen = false;
    else if (isOpen && last?.probe === probe && firstMs + offsetMs >= last.fromMs) {
      last.toMs = Math.max(last.toMs, lastMs + offsetMs + 1);
    } else {
      found.push({ probe, fromMs: firstMs + offsetMs, toMs: lastMs + offsetMs + 1 });
      isOpen = true;
    }
  }
  return found.length > stretchesMax ? wholeSpans(found) : found;
}

/** One stretch a probe, over all of its own. */
function wholeSpans(stretches: Unlogged['stretches']): Unlogged['stretches'] {
  const byProbe = new Map<string, Unlogged['stretches'][number]>();
  for (const { probe, fromMs, toMs } of stretches) {
    const known = byProbe.get(probe) ?? { probe, fromMs, toMs };
    byProbe.set(probe, {
      probe,
      fromMs: Math.min(known.fromMs, fromMs),
      toMs: Math.max(known.toMs, toMs),
    });
  }
  return [...byProbe.values()];
}
