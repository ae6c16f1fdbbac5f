/** Trains the judge of starts and writes daemon/watch/judge-weights.ts: `node tests/skill/everyday/learn.ts [--probes N] [--passes P]`. */
import { writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { signCount } from '../../../daemon/watch/milk-signs.ts';
import { playDays } from './days.ts';
import { trainJudge } from './learn-net.ts';
import { gatherLesson, type StartLesson } from './learn-rows.ts';
import { denseWorld } from './world.ts';

const { values } = parseArgs({
  options: {
    probes: { type: 'string', default: '1100' },
    days: { type: 'string', default: '3' },
    passes: { type: 'string', default: '12' },
    seed: { type: 'string', default: '500000' },
    out: { type: 'string', default: 'daemon/watch/judge-weights.ts' },
  },
});
const tell = (line: string) => process.stderr.write(`${line}\n`);
const parts: StartLesson[] = [];
for (let probe = 0; probe < Number(values.probes); probe += 1) {
  const seed = Number(values.seed) + probe * 17;
  parts.push(gatherLesson(playDays({ days: Number(values.days), seed, world: denseWorld }), seed));
}
const join = (key: 'signs' | 'truths' | 'ages' | 'weights') => {
  const all = new Float32Array(parts.reduce((sum, part) => sum + part[key].length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part[key], at);
    at += part[key].length;
  }
  return all;
};
const lesson: StartLesson = {
  signs: join('signs'),
  truths: join('truths'),
  ages: join('ages'),
  weights: join('weights'),
  count: parts.reduce((sum, part) => sum + part.count, 0),
};
tell(`${lesson.count} rows, ${lesson.truths.reduce((a, b) => a + b, 0)} in milk`);
const judge = trainJudge(lesson, {
  seed: Number(values.seed),
  passes: Number(values.passes),
  inputs: signCount,
  tell,
});
const lines = (rows: number[][]) => rows.map((row) => `    [${row.join(', ')}],`).join('\n');
writeFileSync(
  values.out,
  `/** Weights of the judge of starts, made by tests/skill/everyday/learn.ts with ${values.probes} probes of ${values.days} days, ${values.passes} passes, seed ${values.seed}. */
import type { JudgeWeights } from './milk-judge.ts';

/** See milk-judge.ts; made, not edited. */
// biome-ignore-start lint/suspicious/noApproximativeNumericConstant: made numbers, none of them a constant
// biome-ignore format: one row a line keeps the made file short
export const judgeWeights: JudgeWeights = {
  hidden: [
${lines(judge.hidden)}
  ],
  inner: [
${lines(judge.inner)}
  ],
  out: [
${lines(judge.out)}
  ],
};
// biome-ignore-end lint/suspicious/noApproximativeNumericConstant: made numbers, none of them a constant
`,
);
