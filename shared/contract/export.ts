import { z } from 'zod';
import { instantMs, plainId } from './ids.ts';

/** The forms in which readings leave the house, as they are named in addresses and on the command line. */
export const exportFormName = z.enum(['csv', 'trace', 'jsonl', 'senml', 'lp']);
export type ExportFormName = z.infer<typeof exportFormName>;

/** `GET /api/history/<probe>/kept`: the first and last instant of which there is a reading; null where there is none. */
export const keptSpan = z.object({
  v: z.literal(1),
  probe: plainId,
  firstMs: instantMs.nullable(),
  lastMs: instantMs.nullable(),
});
export type KeptSpan = z.infer<typeof keptSpan>;
