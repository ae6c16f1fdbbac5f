/** Skill figures as a plain table. */
import { tableLines } from '../../deploy/docs/table.ts';
import type { Score } from './score.ts';

const percent = (share: number) => (Number.isNaN(share) ? '–' : `${(100 * share).toFixed(1)}`);
const minutes = (value: number) => (Number.isNaN(value) ? '–' : value.toFixed(1));
const toldText = (mode: Score['mode']) => (mode === 'told' ? 'place, volume' : 'nothing');

/** Returns scores as Markdown, one line for each mode, forecaster and minute, then one for its warnings. */
export function skillTable(title: string, scores: readonly Score[]): string {
  const moments = scores.flatMap(({ mode, forecaster, moments }) =>
    moments.map((m) => [
      toldText(mode),
      forecaster,
      `${m.atMin}`,
      `${m.jars}`,
      percent(m.right),
      percent(m.alwaysNo),
      m.brier.toFixed(3),
      minutes(m.errorMedianMin),
      minutes(m.errorP90Min),
      `${percent(m.covered)} (${m.coveredJars})`,
    ]),
  );
  const warnings = scores.map(({ mode, forecaster, warning: w }) => [
    toldText(mode),
    forecaster,
    `${w.doomed}`,
    percent(w.missed),
    minutes(w.leadMedianMin),
    minutes(w.leadLowerMin),
    `${percent(w.falseStaying)} (${w.goodStaying})`,
    percent(w.falseAll),
  ]);
  const lines = [
    `### ${title}`,
    '',
    ...tableLines(momentHead, moments),
    '',
    ...tableLines(warningHead, warnings),
  ];
  return `${lines.join('\n')}\n`;
}

const momentHead = [
  'told',
  'forecaster',
  'at, min',
  'jars',
  'right %',
  'always no %',
  'Brier',
  'crossing error: median',
  'p90, min',
  '80 % interval holds % (jars)',
];
const warningHead = [
  'told',
  'forecaster',
  'doomed jars',
  'never warned %',
  'lead: median',
  'lower quartile, min',
  'false warnings, jars that stay % (jars)',
  'all %',
];
