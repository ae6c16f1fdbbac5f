/** Which numbers of the one order went to readings from files: they are kept and fed to no watch. Wiring. */
import { z } from 'zod';

/** First and last number of one import. */
type Range = { fromSeq: number; toSeq: number };

const kept = z.object({
  v: z.literal(1),
  ranges: z.array(z.object({ fromSeq: z.int(), toSeq: z.int() })),
  /** Where an import began that was not told to be over. */
  openFromSeq: z.int().nullable(),
});

export type ImportedRanges = {
  /** Says that from number `fromSeq` on all that is kept comes from a file. */
  begin(fromSeq: number): void;
  /** Says that it is over, `nextSeq` being the next number. */
  end(nextSeq: number): void;
  /** Returns the number to look after in place of `inputSeq`, where that leads into an import. */
  skipFrom(inputSeq: number): number;
  /** Returns true where a number went to a reading of a file. */
  has(inputSeq: number): boolean;
};

/** The note among the house's notes. */
const noteKey = 'imported';

/**
 * Opens the ranges. An import that was cut short ends at the last number there is: nothing else was
 * numbered after it, since it held the folder.
 */
export function openImportedRanges(
  notes: { meta(): Record<string, string>; setMeta(key: string, value: string): void },
  nextSeq: number,
): ImportedRanges {
  const parsed = kept.safeParse(JSON.parse(notes.meta()[noteKey] ?? 'null'));
  let ranges: Range[] = parsed.success ? parsed.data.ranges : [];
  let openFromSeq = parsed.success ? parsed.data.openFromSeq : null;
  const keep = () => notes.setMeta(noteKey, JSON.stringify({ v: 1, ranges, openFromSeq }));
  const close = (next: number) => {
    if (openFromSeq !== null && next > openFromSeq)
      ranges = joined(ranges, { fromSeq: openFromSeq, toSeq: next - 1 });
    openFromSeq = null;
    keep();
  };
  if (openFromSeq !== null) close(nextSeq);
  const rangeAt = (seq: number) => ranges.find(({ fromSeq, toSeq }) => seq >= fromSeq && seq <= toSeq);
  return {
    begin: (fromSeq) => {
      openFromSeq = fromSeq;
      keep();
    },
    end: close,
    skipFrom: (inputSeq) => rangeAt(inputSeq + 1)?.toSeq ?? inputSeq,
    has: (inputSeq) => rangeAt(inputSeq) !== undefined,
  };
}

/** Imports that follow each other without anything between become one range, so that their list stays short. */
function joined(ranges: readonly Range[], range: Range): Range[] {
  const last = ranges.at(-1);
  return last !== undefined && last.toSeq === range.fromSeq - 1
    ? [...ranges.slice(0, -1), { fromSeq: last.fromSeq, toSeq: range.toSeq }]
    : [...ranges, range];
}
