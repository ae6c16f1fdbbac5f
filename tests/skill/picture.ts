/** The skill figures as one small picture (SVG): right verdicts over time, by population and by what was told. */
import { askedMin } from './follow-jar.ts';
import type { Score } from './score.ts';

const panel = { wide: 330, high: 240, left: 44, top: 40 } as const;
const ink = '#1f2f4d';
const paper = '#f7f1e5';
const strokes = {
  springhouse: `stroke="${ink}" stroke-width="3"`,
  exponential: `stroke="#8a6d3b" stroke-width="2" stroke-dasharray="7 4"`,
  line: `stroke="#8b8b84" stroke-width="2" stroke-dasharray="2 4"`,
} as const;

/** Draws a panel for each population and mode; the scale runs from 60 to 100 %. */
export function skillPicture(all: readonly { title: string; jars: number; scores: Score[] }[]): string {
  const panels = all.flatMap(({ title, jars, scores }, row) =>
    (['untold', 'told'] as const).map((mode, column) =>
      drawPanel(
        `${title}, ${mode === 'told' ? 'place and volume told' : 'nothing told'} (${jars} jars)`,
        scores.filter((score) => score.mode === mode),
        { x: column * (panel.wide + 60), y: row * (panel.high + 90) },
      ),
    ),
  );
  const wide = 2 * (panel.wide + 60);
  const high = all.length * (panel.high + 90);
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${wide} ${high}" font-family="sans-serif" font-size="12" fill="${ink}">
<title>Right verdicts by minutes after insertion</title>
<rect width="${wide}" height="${high}" fill="${paper}"/>
${panels.join('\n')}
</svg>
`;
}

function drawPanel(title: string, scores: readonly Score[], at: { x: number; y: number }): string {
  const x = (minute: number) => at.x + panel.left + (minute / 45) * panel.wide;
  const y = (share: number) => at.y + panel.top + (1 - (Math.max(0.6, share) - 0.6) / 0.4) * panel.high;
  const grid = [0.6, 0.7, 0.8, 0.9, 1].map(
    (share) =>
      `<line x1="${x(5)}" x2="${x(44)}" y1="${y(share)}" y2="${y(share)}" stroke="#d8cdb6"/><text x="${x(5) - 34}" y="${y(share) + 4}">${share * 100} %</text>`,
  );
  const ticks = askedMin.map((minute) => `<text x="${x(minute) - 6}" y="${y(0.6) + 18}">${minute}</text>`);
  const curves = scores.map(({ forecaster, moments }) => {
    const points = moments
      .map(({ atMin, right }) => `${x(atMin).toFixed(1)},${y(right).toFixed(1)}`)
      .join(' ');
    const last = moments[moments.length - 1];
    const shift = forecaster === 'springhouse' ? -8 : 14;
    const label =
      last === undefined
        ? ''
        : `<text x="${x(last.atMin) - 66}" y="${y(last.right) + shift}">${forecaster}</text>`;
    return `<polyline fill="none" ${strokes[forecaster]} points="${points}"/>${label}`;
  });
  return `<text x="${at.x + 8}" y="${at.y + 22}" font-size="13" font-weight="bold">${title}</text>\n${[...grid, ...ticks, ...curves].join('\n')}`;
}
