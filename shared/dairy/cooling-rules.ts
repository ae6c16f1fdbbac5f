/** How fast raw milk must be cold, region by region: what is printed, by whom, and how sure that is. */
import { celsiusOf } from '../units/celsius.ts';

/** One demand of a rule. The limit is in the rule's own unit and never rounded to another. */
export type CoolingStage = {
  limit: { value: number; units: 'F' | 'C' };
  spanMs: number;
  /** From when the span counts. */
  from: 'milking-start' | 'milking-end';
};

/** How a figure is known: `printed`, seen in print; `restated`, by others; `practice`, no regulation found. */
export type Sureness = 'printed' | 'restated' | 'practice';

/** The rule of a region. All its stages must be met; where two have one limit, the sooner one counts. */
export type CoolingRule = {
  /** What people call it. */
  name: string;
  stages: readonly CoolingStage[];
  /** The warmest that milk may be while fresh milk is put to it; null where the rule says nothing. */
  blend: { value: number; units: 'F' | 'C' } | null;
  source: string;
  sureness: Sureness;
};

const hourMs = 3_600_000;

/** The hour of stricter raw milk practice, a house rule and no regulation: voluntary schemes, no source found. */
export const householdHour: CoolingStage = within(40, 'F', 1, 'milking-end');

/** The rules by the name that the house file gives. */
export const coolingRules = {
  household: {
    name: 'household practice',
    stages: [within(40, 'F', 2, 'milking-end')],
    blend: null,
    source: 'USDA/FSIS consumer advice: two hours at the most between 40 and 140 °F',
    sureness: 'practice',
  },
  'us-pmo': {
    name: 'US Grade "A" PMO',
    stages: [within(50, 'F', 4, 'milking-start'), within(45, 'F', 2, 'milking-end')],
    blend: { value: 50, units: 'F' },
    source: 'PMO Item 18r and Table 1; same text in California FAC 35783',
    sureness: 'printed',
  },
  'us-raw-retail': {
    name: 'US raw retail',
    stages: [within(40, 'F', 2, 'milking-end')],
    blend: { value: 50, units: 'F' },
    source: 'Massachusetts 330 CMR 27.05 and 27.06; Washington RCW 15.36.221; Virginia 2VAC5-501-50',
    sureness: 'printed',
  },
  'us-new-mexico': {
    name: 'New Mexico raw retail',
    stages: [within(45, 'F', 2, 'milking-end')],
    blend: null,
    source: 'New Mexico 25-8-1',
    sureness: 'printed',
  },
  eu: {
    name: 'EU, collected daily',
    stages: [within(8, 'C', 2, 'milking-end')],
    blend: null,
    source:
      'Reg. (EC) 853/2004 Annex III Section IX Chapter I Part II B (2): 8 °C immediately; two hours is the reading of others',
    sureness: 'restated',
  },
  'eu-not-daily': {
    name: 'EU, not collected daily',
    stages: [within(6, 'C', 2, 'milking-end')],
    blend: null,
    source:
      'Reg. (EC) 853/2004 Annex III Section IX Chapter I Part II B (2): 6 °C immediately; two hours is the reading of others',
    sureness: 'restated',
  },
  switzerland: {
    name: 'Switzerland, delivered daily',
    stages: [within(8, 'C', 2, 'milking-end')],
    blend: null,
    source: 'VHyMP, SR 916.351.021.1',
    sureness: 'printed',
  },
  czechia: {
    name: 'Czechia',
    stages: [within(8, 'C', 3, 'milking-start')],
    blend: { value: 10, units: 'C' },
    source: 'Vyhl. 287/1999 §44',
    sureness: 'printed',
  },
  'new-zealand': {
    name: 'New Zealand',
    stages: [
      within(10, 'C', 4, 'milking-start'),
      within(6, 'C', 6, 'milking-start'),
      within(6, 'C', 2, 'milking-end'),
    ],
    blend: { value: 10, units: 'C' },
    source: 'NZCP1, as restated on a trade page',
    sureness: 'restated',
  },
  australia: {
    name: 'Australia',
    stages: [within(5, 'C', 3.5, 'milking-start')],
    blend: null,
    source: 'FSANZ guideline',
    sureness: 'printed',
  },
} as const satisfies Readonly<Record<string, CoolingRule>>;

export type CoolingRuleId = keyof typeof coolingRules;

/** Every rule's name in the house file, in the order in which they are listed. */
export const coolingRuleIds = Object.keys(coolingRules) as CoolingRuleId[];

/** One deadline that a rule sets for one milking, °C unrounded. */
export type CoolingDeadline = { limitC: number; deadlineMs: number; from: CoolingStage['from'] };

/** Taken for a milking whose start nobody told, as a small herd by hand: common practice, no source. */
export const milkingTakesMs = hourMs;

/**
 * The deadlines of a rule for one milking, warmest limit first; of stages with one limit only the soonest. Where
 * `startMs` is null the start is taken as an hour before the end, so that no deadline comes out too late.
 */
export function coolingDeadlines(
  rule: CoolingRule,
  milking: { startMs: number | null; endMs: number },
): CoolingDeadline[] {
  const startMs = milking.startMs ?? milking.endMs - milkingTakesMs;
  const soonest = new Map<number, CoolingDeadline>();
  for (const { limit, spanMs, from } of rule.stages) {
    const limitC = celsiusOf(limit.value, limit.units);
    const deadlineMs = (from === 'milking-start' ? startMs : milking.endMs) + spanMs;
    const known = soonest.get(limitC);
    if (known === undefined || deadlineMs < known.deadlineMs)
      soonest.set(limitC, { limitC, deadlineMs, from });
  }
  return [...soonest.values()].sort((a, b) => b.limitC - a.limitC);
}

/** Whether milk that fresh milk was put to got too warm by its rule; at the limit is still in it. */
export function breaksBlend(rule: CoolingRule, tempC: number): boolean {
  return rule.blend !== null && tempC > celsiusOf(rule.blend.value, rule.blend.units);
}

function within(value: number, units: 'F' | 'C', hours: number, from: CoolingStage['from']): CoolingStage {
  return { limit: { value, units }, spanMs: hours * hourMs, from };
}
