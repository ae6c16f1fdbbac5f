/** Skill figures as a plain table. */
import type { Score } from './score.ts';

const percent = (share: number) => (Number.isNaN(share) ? '–' : `${(100 * share).toFixed(1)}`);
const minutes = (value: number) => (Number.isNaN(value) ? '–' : value.toFixed(1));

/** Returns scores as Markdown, one line for each mode, forecaster and minute. */
export function skillTable(title: string, scores: readonly Score[]): string {
  const lines = [
    `### ${title}`,
    '',
    '| told | forecaster | at, min | jars | right % | always no % | Brier | crossing error: median | p90, min | 80 % interval holds % (jars) |',
    '|---|---|---|---|---|---|---|---|---|---|',
  ];
  for (const { mode, forecaster, moments } of scores) {
    for (const m of moments) {
      lines.push(
        `| ${mode === 'told' ? 'place, volume' : 'nothing'} | ${forecaster} | ${m.atMin} | ${m.jars} | ${percent(m.right)} | ${percent(m.alwaysNo)} | ${m.brier.toFixed(3)} | ${minutes(m.errorMedianMin)} | ${minutes(m.errorP90Min)} | ${percent(m.covered)} (${m.coveredJars}) |`,
      );
    }
  }
  lines.push(
    '',
    '| told | forecaster | doomed jars | never warned % | lead: median | lower quartile, min | false warnings, jars that stay % (jars) | all % |',
    '|---|---|---|---|---|---|---|---|',
  );
  for (const { mode, forecaster, warning: w } of scores) {
    lines.push(
      `| ${mode === 'told' ? 'place, volume' : 'nothing'} | ${forecaster} | ${w.doomed} | ${percent(w.missed)} | ${minutes(w.leadMedianMin)} | ${minutes(w.leadLowerMin)} | ${percent(w.falseStaying)} (${w.goodStaying}) | ${percent(w.falseAll)} |`,
    );
  }
  return `${lines.join('\n')}\n`;
}
