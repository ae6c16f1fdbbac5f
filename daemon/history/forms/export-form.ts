/** The forms in which a history can leave the house. */
import { type ExportFormName, exportFormNames } from '../../../shared/contract/export-forms.ts';
import { encodeCsv, encodeTrace } from './csv-form.ts';
import type { Encoder, EncoderOptions } from './encoder.ts';
import { encodeJsonLines, encodeSenml } from './json-forms.ts';
import { encodeLineProtocol } from './line-protocol-form.ts';

/** Their names as people type them. */
export const exportForms = exportFormNames;
export type ExportForm = ExportFormName;

type FormNote = {
  /** The media type over HTTP; of RFC 7111, RFC 8428 and common use. */
  mediaType: string;
  /** How a file of it ends. */
  ending: string;
  encode(options: EncoderOptions): Encoder;
};

export const formNotes: Readonly<Record<ExportForm, FormNote>> = {
  csv: { mediaType: 'text/csv; charset=utf-8; header=present', ending: 'csv', encode: encodeCsv },
  trace: { mediaType: 'text/csv; charset=utf-8; header=present', ending: 'csv', encode: encodeTrace },
  jsonl: { mediaType: 'application/jsonl; charset=utf-8', ending: 'jsonl', encode: encodeJsonLines },
  senml: { mediaType: 'application/senml+json', ending: 'senml', encode: encodeSenml },
  lp: { mediaType: 'text/plain; charset=utf-8', ending: 'lp', encode: encodeLineProtocol },
};
