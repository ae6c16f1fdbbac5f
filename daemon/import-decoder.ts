/** The decoder of a file as the command line describes it. Wiring. */
import type { ImportOptions } from './cli/import-options.ts';
import { openCsvImport } from './history/imports/csv-import.ts';
import type { Decoder } from './history/imports/decoder.ts';
import { openFileTime } from './history/imports/file-time.ts';
import { openFileValue } from './history/imports/file-value.ts';
import { openJsonLinesImport, openLineProtocolImport } from './history/imports/line-imports.ts';
import { openSenmlImport } from './history/imports/senml-import.ts';

/** Opens a decoder at the beginning of a file; a text is the rule that `--time` breaks. */
export function decoderOf(options: ImportOptions): Decoder | string {
  const { form, unit, decimal, time, zone } = options;
  const readTime = openFileTime({ form: time, zone });
  if (typeof readTime === 'string') return readTime;
  const readValue = openFileValue({ unit, decimal });
  switch (form) {
    case 'csv':
      return openCsvImport({ mapping: options, readTime, readValue });
    case 'jsonl':
      return openJsonLinesImport({ readTime, readValue });
    case 'lp':
      return openLineProtocolImport({ readTime, readValue });
    case 'senml':
      return openSenmlImport({ readerOf: (of) => openFileValue({ unit: of, decimal: '.' }) });
    default:
      return form satisfies never;
  }
}
