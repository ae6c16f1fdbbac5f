import { z } from 'zod';
import { exportFormNames } from './export-forms.ts';
import { instantMs, plainId } from './ids.ts';

/** The name of a form in which readings leave the house. */
export const exportFormName = z.enum(exportFormNames);

/** `GET /api/history/<probe>/kept`: the first and last instant of which there is a reading; null where there is none. */
export const keptSpan = z.object({
  v: z.literal(1),
  probe: plainId,
  firstMs: instantMs.nullable(),
  lastMs: instantMs.nullable(),
});
export type KeptSpan = z.infer<typeof keptSpan>;

/** A stretch in which readings came late, epoch ms, `toMs` not included. */
export const lateStretch = z.object({ fromMs: instantMs, toMs: instantMs, count: z.int() });
export type LateStretch = z.infer<typeof lateStretch>;

/** `GET /api/history/<probe>/late`: null where the span holds more readings than are looked through. */
export const lateView = z.object({
  v: z.literal(1),
  probe: plainId,
  fromMs: instantMs,
  toMs: instantMs,
  stretches: z.array(lateStretch).nullable(),
});
export type LateView = z.infer<typeof lateView>;
