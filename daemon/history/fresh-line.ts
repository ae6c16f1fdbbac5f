/** The readings of one series and era that are in no block yet, in order of their instants, in memory. */

/** One of them; `tMs` as the log has it. */
export type FreshReading = {
  tMs: number;
  tempC: number;
  flags: number;
  inputSeq: number;
  receivedMs: number;
};

/** Columns that grow at their end and are cut at will; a reading between others moves those after it. */
export type FreshLine = {
  readonly series: number;
  readonly era: number;
  readonly count: number;
  /** The least number of them; Infinity where there is none. */
  readonly leastSeq: number;
  tMsAt(index: number): number;
  tempCAt(index: number): number;
  flagsAt(index: number): number;
  seqAt(index: number): number;
  receivedMsAt(index: number): number;
  /** Returns the first place whose instant is `tMs` or later; `count` where all are earlier. */
  placeOf(tMs: number): number;
  add(reading: FreshReading): void;
  /** Lets go all numbered up to `seq`, which is quick where they came in the order of their instants. */
  dropUpTo(seq: number): void;
  /** Keeps only those that `stays` says, by place. */
  keep(stays: (index: number) => boolean): void;
};

export function openFreshLine(series: number, era: number): FreshLine {
  let room = 64;
  let count = 0;
  let leastSeq = Number.POSITIVE_INFINITY;
  /** False once a number stands behind a higher one. */
  let inOrder = true;
  let tMs = new Float64Array(room);
  let tempC = new Float64Array(room);
  let seqs = new Float64Array(room);
  let receivedMs = new Float64Array(room);
  let flags = new Uint8Array(room);

  const resize = (to: number): void => {
    room = to;
    tMs = moved(tMs, new Float64Array(room), count);
    tempC = moved(tempC, new Float64Array(room), count);
    seqs = moved(seqs, new Float64Array(room), count);
    receivedMs = moved(receivedMs, new Float64Array(room), count);
    flags = moved(flags, new Uint8Array(room), count);
  };
  const placeOf = (at: number): number => {
    let low = 0;
    let high = count;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((tMs[middle] as number) < at) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  /** The first place numbered above `seq`, where places go with numbers. */
  const placeAfterSeq = (seq: number): number => {
    let low = 0;
    let high = count;
    while (low < high) {
      const middle = (low + high) >> 1;
      if ((seqs[middle] as number) <= seq) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  const shrink = (): void => {
    if (room > 256 && count < room / 4) resize(Math.max(64, count * 2));
  };
  const keep = (stays: (index: number) => boolean): void => {
    let kept = 0;
    leastSeq = Number.POSITIVE_INFINITY;
    inOrder = true;
    for (let index = 0; index < count; index++) {
      if (!stays(index)) continue;
      const seq = seqs[index] as number;
      if (kept > 0 && seq < (seqs[kept - 1] as number)) inOrder = false;
      leastSeq = Math.min(leastSeq, seq);
      if (kept !== index) {
        tMs[kept] = tMs[index] as number;
        tempC[kept] = tempC[index] as number;
        seqs[kept] = seq;
        receivedMs[kept] = receivedMs[index] as number;
        flags[kept] = flags[index] as number;
      }
      kept += 1;
    }
    count = kept;
    shrink();
  };
  const put = (index: number, reading: FreshReading): void => {
    tMs[index] = reading.tMs;
    tempC[index] = reading.tempC;
    seqs[index] = reading.inputSeq;
    receivedMs[index] = reading.receivedMs;
    flags[index] = reading.flags;
  };
  return {
    series,
    era,
    get count() {
      return count;
    },
    get leastSeq() {
      return leastSeq;
    },
    tMsAt: (index) => tMs[index] as number,
    tempCAt: (index) => tempC[index] as number,
    flagsAt: (index) => flags[index] as number,
    seqAt: (index) => seqs[index] as number,
    receivedMsAt: (index) => receivedMs[index] as number,
    placeOf,
    add: (reading) => {
      if (count === room) resize(room * 2);
      // After all of the same instant: those came earlier.
      let index = count;
      if (count > 0 && reading.tMs < (tMs[count - 1] as number)) {
        index = placeOf(reading.tMs + 1);
        inOrder = false;
        for (const column of [tMs, tempC, seqs, receivedMs, flags])
          column.copyWithin(index + 1, index, count);
      }
      put(index, reading);
      leastSeq = Math.min(leastSeq, reading.inputSeq);
      count += 1;
    },
    dropUpTo: (seq) => {
      if (!inOrder) return keep((index) => (seqs[index] as number) > seq);
      const first = placeAfterSeq(seq);
      for (const column of [tMs, tempC, seqs, receivedMs, flags]) column.copyWithin(0, first, count);
      count -= first;
      leastSeq = count === 0 ? Number.POSITIVE_INFINITY : (seqs[0] as number);
      shrink();
    },
    keep,
  };
}

function moved<T extends Float64Array | Uint8Array>(from: T, to: T, count: number): T {
  to.set(from.subarray(0, count));
  return to;
}
