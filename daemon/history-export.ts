/** The history on its way out: readings of some probes over a span, in one of the forms, as text. Wiring. */
import { readingFlags } from '../shared/contract/input.ts';
import { type ExportForm, formNotes } from './history/forms/export-form.ts';
import type { FormReading } from './history/forms/form-reading.ts';
import { mergeSlices } from './history/forms/merge-slices.ts';
import type { RawReading } from './history/raw.ts';
import type { Reader } from './reader.ts';

export type ExportAsk = {
  form: ExportForm;
  /** In the order of their columns, where the form has columns. */
  probes: readonly string[];
  fromMs: number;
  /** Not included. */
  toMs: number;
  /** The house's id. */
  house: string;
};

/**
 * Gives the text of an export piece by piece, in order of the readings' instants; tells how many are done
 * after each piece. Memory does not grow with the span: one slice of each probe is held. Undated readings
 * have no instant that a file could give, and are left out.
 */
export async function* exportText(
  reader: Pick<Reader, 'rawRange'>,
  { form, probes, fromMs, toMs, house }: ExportAsk,
  onProgress: (readings: number) => void = () => {},
): AsyncGenerator<string, void, void> {
  const encoder = formNotes[form].encode({ house, probes });
  const streams = probes.map((probe) => ofProbe(probe, reader.rawRange({ probe, fromMs, toMs })));
  let done = 0;
  yield encoder.head();
  for await (const slice of mergeSlices(streams)) {
    yield encoder.rows(slice);
    done += slice.length;
    onProgress(done);
  }
  yield encoder.tail();
}

async function* ofProbe(
  probe: string,
  slices: AsyncIterable<readonly RawReading[]>,
): AsyncGenerator<FormReading[], void, void> {
  for await (const slice of slices) {
    yield slice
      .filter(({ flags }) => (flags & readingFlags.undated) === 0)
      .map(({ atMs, tempC, flags }) => ({ probe, atMs, tempC, flags }));
  }
}
