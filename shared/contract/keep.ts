import { z } from 'zod';
import { instantMs } from './ids.ts';

/** The window of a keep, °C: at or above `lowC` and at or under `highC`; null where that side is open. */
export const keepWindow = z.object({ lowC: z.number().nullable(), highC: z.number().nullable() });
export type KeepWindow = z.infer<typeof keepWindow>;

/**
 * What goes on in a place, as far as its probes tell: `cooling-stopped` is power or compressor, which one
 * probe cannot tell apart; `power-off` is said only where two places warm together; `warming` where the
 * cause cannot be told.
 */
export const keepCause = z.enum([
  'settling',
  'usual',
  'door-open',
  'door-ajar',
  'defrost',
  'warm-load',
  'cooling-stopped',
  'power-off',
  'failing',
  'too-cold',
  'warming',
]);
export type KeepCause = z.infer<typeof keepCause>;

/** Which side of its window a keep leaves. */
export const keepSide = z.enum(['warm', 'cold']);
export type KeepSide = z.infer<typeof keepSide>;

/**
 * Which pattern of excursions raised the alarm: `single` one reading far beyond, `continuous` beyond without
 * a break, `cumulative` beyond for so long in one day, with breaks.
 */
export const excursionRule = z.enum(['single', 'continuous', 'cumulative']);
export type ExcursionRule = z.infer<typeof excursionRule>;

/** Something that went on in a place and is over, or still lasts where `toMs` is null. */
export const keepNote = z.object({
  cause: keepCause,
  fromMs: instantMs,
  toMs: instantMs.nullable(),
  /** The warmest the probe showed meanwhile, °C. */
  mostC: z.number(),
});
export type KeepNote = z.infer<typeof keepNote>;
