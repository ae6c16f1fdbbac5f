import { describe, expect, it } from 'vitest';
import {
  breaksBlend,
  coolingDeadlines,
  coolingRuleIds,
  coolingRules,
} from '../../../shared/dairy/cooling-rules.ts';

const at = (clock: string) => Date.parse(`2026-04-18T${clock}:00Z`);
/** Milking 06:00 to 06:40: the vectors worked out from the printed rules. */
const milking = { startMs: at('06:00'), endMs: at('06:40') };

function shown(id: (typeof coolingRuleIds)[number]) {
  return coolingDeadlines(coolingRules[id], milking).map(({ limitC, deadlineMs }) => [
    Math.round(limitC * 100) / 100,
    new Date(deadlineMs).toISOString().slice(11, 16),
  ]);
}

describe('the deadlines of a region', () => {
  it.each([
    // PMO Item 18r: 50 °F within 4 h of the start, 45 °F within 2 h after the end.
    [
      'us-pmo',
      [
        [10, '10:00'],
        [7.22, '08:40'],
      ],
    ],
    // 2VAC5-501-50, 330 CMR 27.05, RCW 15.36.221: 40 °F within 2 h.
    ['us-raw-retail', [[4.44, '08:40']]],
    // Reg. (EC) 853/2004, read as two hours.
    ['eu', [[8, '08:40']]],
    // Vyhl. 287/1999 §44: within 3 h of the start.
    ['czechia', [[8, '09:00']]],
    // NZCP1: the sooner of 6 h from the start and 2 h from the end.
    [
      'new-zealand',
      [
        [10, '10:00'],
        [6, '08:40'],
      ],
    ],
    // FSANZ: 5 °C within 3.5 h of the start.
    ['australia', [[5, '09:30']]],
  ] as const)('are those of %s as printed', (id, expected) => {
    expect(shown(id)).toEqual(expected);
  });

  it('come out no later where nobody told when milking began', () => {
    for (const id of coolingRuleIds) {
      const told = coolingDeadlines(coolingRules[id], milking);
      const untold = coolingDeadlines(coolingRules[id], { ...milking, startMs: null });
      expect(untold.map(({ limitC }) => limitC)).toEqual(told.map(({ limitC }) => limitC));
      for (const [place, { deadlineMs }] of untold.entries())
        expect(deadlineMs).toBeLessThanOrEqual(told[place]?.deadlineMs ?? 0);
    }
  });

  it('name a source each', () => {
    for (const id of coolingRuleIds) expect(coolingRules[id].source).not.toBe('');
  });
});

describe('a second milking put to the first', () => {
  it('breaks the blend rule above 50 °F and not at it', () => {
    expect(breaksBlend(coolingRules['us-pmo'], 10)).toBe(false);
    expect(breaksBlend(coolingRules['us-pmo'], 10.01)).toBe(true);
    expect(breaksBlend(coolingRules['new-zealand'], 10.01)).toBe(true);
    expect(breaksBlend(coolingRules.eu, 30)).toBe(false);
  });
});
