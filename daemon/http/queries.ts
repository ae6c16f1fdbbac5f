/** What may stand in a query; each message is the rule, as it reads after "must be". */

import { z } from 'zod';
import { historySnaps } from '../../shared/contract/api.ts';
import { exportFormName } from '../../shared/contract/export.ts';
import { material } from '../../shared/contract/ids.ts';
import { plannedFromC } from '../../shared/contract/plan.ts';
import { described } from './described.ts';
import type { HttpFault } from './problems.ts';

/** The most buckets that one history answer has; more are refused. */
export const historyPointsMax = 2_000;
const historyPointsUsual = 600;

/** The longest span that one history answer covers; a longer one is refused. A house's whole life fits in it. */
export const historySpanMsMax = 100 * 366 * 86_400_000;
const historySpanMsUsual = 6 * 3_600_000;

/** The most notices in one answer; more are refused: ask on with `before`. */
export const noticesMax = 200;

/** The most events in one page of the record; more are refused: ask on with `after`. */
export const recordPageMax = 1_000;

/** The last instant that a calendar with years of four digits has, epoch ms. */
const instantMsMax = Date.UTC(9999, 11, 31);

/** A whole number written in digits. */
function wholeNumber(from: number, to: number) {
  const rule = `a whole number from ${from} to ${to}`;
  return z
    .string()
    .regex(/^\d{1,16}$/, rule)
    .register(described, { description: rule })
    .transform(Number)
    .refine((value) => value >= from && value <= to, rule);
}

/** An instant as RFC 3339 with its offset, or as epoch ms; gives epoch ms. */
const instantRule =
  'an instant as RFC 3339 with its offset ("2026-05-04T06:12:00Z"; write + as %2B) or in epoch ms';
const instant = z
  .union(
    [
      z.iso.datetime({ offset: true }).transform((text) => Date.parse(text)),
      z
        .string()
        .regex(/^\d{1,16}$/)
        .transform(Number),
    ],
    { error: instantRule },
  )
  .refine((atMs) => atMs >= 0 && atMs <= instantMsMax, instantRule)
  .register(described, { description: instantRule });

export const historyQuery = z.object({
  from: instant.optional(),
  to: instant.optional(),
  points: wholeNumber(1, historyPointsMax).default(historyPointsUsual),
  snap: z.enum(historySnaps, 'none, minute, hour or day').default('none'),
});

function decimal(from: number, to: number) {
  const rule = `a number from ${from} to ${to}`;
  return z
    .string()
    .regex(/^-?\d{1,4}(\.\d{1,6})?$/, rule)
    .register(described, { description: rule })
    .transform(Number)
    .refine((value) => value >= from && value <= to, rule);
}

/** What is planned: litres in one vessel, what that is made of, how warm the milk goes in, °C. */
export const planQuery = z.object({
  volume: decimal(0.05, 1000),
  material: material.optional(),
  from: decimal(-5, 60).default(plannedFromC),
});

export const noticesQuery = z.object({
  limit: wholeNumber(1, noticesMax).default(50),
  before: wholeNumber(1, Number.MAX_SAFE_INTEGER).optional(),
  from: instant.optional(),
  to: instant.optional(),
});

export const exportQuery = z.object({
  from: instant.optional(),
  to: instant.optional(),
  form: exportFormName.default('csv'),
});

export const recordQuery = z.object({
  after: wholeNumber(0, Number.MAX_SAFE_INTEGER).default(0),
  limit: wholeNumber(1, recordPageMax).default(200),
});

export const liveQuery = z.object({
  after: wholeNumber(0, Number.MAX_SAFE_INTEGER).optional(),
});

/**
 * Returns the span that is asked for: up to now unless `to` is given, the last six hours before that unless
 * `from` is. A string is the rule that the span breaks.
 */
export function askedSpan(
  query: z.output<typeof historyQuery>,
  nowMs: number,
): { fromMs: number; toMs: number } | string {
  const toMs = query.to ?? nowMs;
  const fromMs = query.from ?? toMs - historySpanMsUsual;
  if (fromMs >= toMs) return 'an instant before "to"';
  if (toMs - fromMs > historySpanMsMax) return `at most ${historySpanMsMax / 86_400_000} days before "to"`;
  return { fromMs, toMs };
}

/** Returns the fault of a span that does not go from earlier to later; null where it does. */
export function spanFault({ fromMs, toMs }: { fromMs: number; toMs: number }): HttpFault | null {
  if (fromMs < toMs) return null;
  return {
    code: 'HTTP_QUERY',
    message: `The parameter "from" must be an instant before "to", got ${fromMs}. Ask for a span that fits.`,
  };
}
