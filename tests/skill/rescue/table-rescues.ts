/** Figures of ways out as a plain table. */
import { tableLines } from '../../../deploy/docs/table.ts';
import type { RescueScore } from './score-rescues.ts';

const percent = (share: number) => (Number.isNaN(share) ? '–' : (100 * share).toFixed(1));

const head = [
  'told',
  'way out',
  'times told',
  'called “would make it”',
  'of these made it %',
  'made it, done at the last instant told %',
  'not called so',
  'of these would have made it %',
  'Brier',
];

/** Returns scores as Markdown under a title. */
export function rescueTable(title: string, scores: readonly RescueScore[]): string {
  const rows = scores.map((score) => [
    score.mode === 'told' ? 'place, vessel, volume' : 'nothing',
    score.kind,
    `${score.told}`,
    `${score.called}`,
    percent(score.made),
    percent(score.madeAtLast),
    `${score.notCalled}`,
    percent(score.notCalledMade),
    score.brier.toFixed(3),
  ]);
  return `${[`### ${title}`, '', ...tableLines(head, rows)].join('\n')}\n`;
}
