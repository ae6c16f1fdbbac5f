import { expect, it } from 'vitest';
import { mirrorsTable } from '../../../daemon/cli/mirrors-table.ts';

const disk = { historyBytes: 41_200_000, recordBytes: 1_400_000, freeBytes: 8_000_000_000 };
const mirror = {
  id: 'stats',
  state: 'current',
  waiting: 0,
  held: false,
  lagMs: 0,
  takenAtMs: 50_000,
  setAside: 0,
  why: '',
} as const;

it('tells how far each mirror is behind and what the files take', () => {
  const away = {
    ...mirror,
    id: 'far',
    state: 'away',
    waiting: 12,
    lagMs: 7_200_000,
    takenAtMs: null,
    why: 'connect ECONNREFUSED',
  } as const;
  expect(mirrorsTable([mirror, away], disk, 60_000)).toBe(
    `stats  up to date; last taken 10 seconds ago
far    not reached; 2 hours behind; 12 inputs to go; connect ECONNREFUSED
readings 41.2 MB, record 1.4 MB, free 8000.0 MB
`,
  );
  expect(mirrorsTable([], disk, 0)).toMatch(/^no mirror is named in the house file\n/);
});
