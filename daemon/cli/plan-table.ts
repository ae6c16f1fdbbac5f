import { rescueSureFrom } from '../../shared/dairy/offered-rescue.ts';
import { rescueCautions } from '../../shared/sentences/rescue-words.ts';
import { formatTemp, formatVolume, type Units } from '../../shared/units/format.ts';

const iceCautions = ['warm-glass-cracks', 'water-below-lid', 'clean-tools', 'out-before-freezing'] as const;

/** A way of a plan as it is printed. */
type Way = {
  place: string;
  stirred: boolean | null;
  minutes: { p10: number | null; p50: number | null; p90: number | null };
  chance: number;
};

type Asked = { volumeL: number; fromC: number; limitC: number; spanMin: number };

/** What `springhouse plan` prints: a line a place, the likeliest to make the rule first. */
export function planTable(
  ways: readonly Way[],
  of: { asked: Asked; units: Units; places: readonly { id: string; name: string }[] },
): string {
  const { asked, places, units } = of;
  const limit = formatTemp(asked.limitC, { units });
  const head = `${formatVolume(asked.volumeL)} from ${formatTemp(asked.fromC, { units })} to ${limit}, wanted within ${asked.spanMin} min:`;
  if (ways.length === 0) return `${head}\n  the house file names no place for it\n`;
  const best = ways[0];
  const rows = ways.map((way) => {
    const name = places.find(({ id }) => id === way.place)?.name ?? way.place;
    const stirred = way.stirred === null ? '' : way.stirred ? ', stirred' : ', left alone';
    return [`${name}${stirred}`, spanOf(way), callOf(way, way === best)];
  });
  const widths = [0, 1].map((column) => Math.max(...rows.map((row) => row[column]?.length ?? 0)));
  const lines = rows.map((row) => `  ${row.map((cell, at) => cell.padEnd(widths[at] ?? 0)).join('  ')}`);
  const iced = ways.some(({ stirred }) => stirred !== null);
  const cautions = rescueCautions(iced ? iceCautions : ['out-before-freezing']).join(' ');
  return `${[head, ...lines.map((line) => line.trimEnd()), cautions].join('\n')}\n`;
}

/** Minutes with their spread: "near 74 min (29 to 154)". */
function spanOf({ minutes: { p10, p50, p90 } }: Way): string {
  if (p10 === null) return 'never within 12 h';
  const late = p90 === null ? 'never' : String(Math.ceil(p90));
  const near = p50 === null ? 'mostly not within 12 h' : `near ${Math.round(p50)} min`;
  return `${near} (${Math.floor(p10)} to ${late})`;
}

function callOf({ chance }: Way, isBest: boolean): string {
  const tenths = Math.round(chance * 10);
  const often =
    tenths > 9 ? 'more than 9 of 10' : tenths < 1 ? 'fewer than 1 of 10' : `about ${tenths} of 10`;
  if (chance >= rescueSureFrom) return `would make it, ${often}`;
  return isBest && chance > 0 ? `would be quickest, ${often}` : `too slow to count on, ${often}`;
}
