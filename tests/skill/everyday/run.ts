/**
 * `npm run skill -- starts [--days 30] [--seed S] [--seeds 5] [--world everyday|other|both] [--json|--why]`:
 * how well comings into milk and goings out of it are felt, by seed and world.
 */
import { parseArgs } from 'node:util';
import { type Everyday, playDays } from './days.ts';
import { playOtherDays } from './other-days.ts';
import { judgeDays, type StartFigures } from './score.ts';

const { values } = parseArgs({
  options: {
    days: { type: 'string', default: '30' },
    seed: { type: 'string', default: '1' },
    seeds: { type: 'string', default: '5' },
    world: { type: 'string', default: 'both' },
    json: { type: 'boolean', default: false },
    why: { type: 'boolean', default: false },
  },
});
const worlds: Record<string, (given: { days: number; seed: number }) => Everyday> = {
  everyday: playDays,
  other: playOtherDays,
};
const wanted = values.world === 'both' ? Object.keys(worlds) : [values.world];
const print = (line: string) => process.stdout.write(`${line}\n`);
const days = Number(values.days);
for (const world of wanted) {
  const play = worlds[world];
  if (play === undefined) throw new Error('SKILL_ARGS: --world must be everyday, other or both.');
  const all: StartFigures[] = [];
  for (let nth = 0; nth < Number(values.seeds); nth += 1) {
    const seed = Number(values.seed) + nth;
    const { figures, failures } = judgeDays(play({ days, seed }));
    all.push(figures);
    tell({ world, seed, days }, figures);
    if (values.why) for (const failure of failures) print(failure);
  }
  if (all.length > 1) tell({ world, seeds: all.length, days }, total(all));
}

function tell(of: Record<string, string | number>, figures: Partial<StartFigures>): void {
  if (values.json) {
    print(JSON.stringify({ ...of, ...figures }));
    return;
  }
  const { insertions, noticed, missedAlike, missedInGap, falseStarts, removals, removalsNoticed, falseEnds } =
    figures;
  const name = Object.entries(of)
    .map(([key, value]) => `${key} ${value}`)
    .join(', ');
  print(
    `${name}: ${noticed} of ${insertions} comings into milk noticed, missed ${missedInGap} in gaps and ${missedAlike} without a jump; ` +
      `${falseStarts} false starts; ${removalsNoticed} of ${removals} goings out noticed, ${falseEnds} false ends`,
  );
}

function total(all: readonly StartFigures[]): Partial<StartFigures> {
  const sum = (of: (figures: StartFigures) => number) =>
    all.reduce((before, figures) => before + of(figures), 0);
  const most = (of: (figures: StartFigures) => number) => Math.max(...all.map(of));
  return {
    insertions: sum(({ insertions }) => insertions),
    noticed: sum(({ noticed }) => noticed),
    missedAlike: sum(({ missedAlike }) => missedAlike),
    missedInGap: sum(({ missedInGap }) => missedInGap),
    falseStarts: sum(({ falseStarts }) => falseStarts),
    removals: sum(({ removals }) => removals),
    removalsNoticed: sum(({ removalsNoticed }) => removalsNoticed),
    falseEnds: sum(({ falseEnds }) => falseEnds),
    usPerReading: most(({ usPerReading }) => usPerReading),
    slowestMs: most(({ slowestMs }) => slowestMs),
    stateBytesMost: most(({ stateBytesMost }) => stateBytesMost),
  };
}
