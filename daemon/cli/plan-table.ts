import type { PlaceKind } from '../../shared/contract/ids.ts';
import type { PlanView } from '../../shared/contract/plan.ts';
import {
  planCall,
  planCautions,
  planPlace,
  planSource,
  planSpan,
} from '../../shared/sentences/plan-words.ts';
import { formatTemp, formatVolume, type Units } from '../../shared/units/format.ts';
import { columnLines } from './columns.ts';

type Asked = Pick<PlanView['asked'], 'volumeL' | 'fromC' | 'limitC' | 'spanMin'>;
type Place = { id: string; name: string; kind: PlaceKind };

/** What `springhouse plan` prints: a line a place, the likeliest to make the rule first. */
export function planTable(
  ways: PlanView['ways'],
  of: { asked: Asked; units: Units; places: readonly Place[] },
): string {
  const { asked, places, units } = of;
  const limit = formatTemp(asked.limitC, { units });
  const head = `${formatVolume(asked.volumeL)} from ${formatTemp(asked.fromC, { units })} to ${limit}, wanted within ${asked.spanMin} min:`;
  if (ways.length === 0) return `${head}\n  the house file names no place for it\n`;
  const rows = ways.map((way) => [
    planPlace(way, places),
    planSpan(way),
    planCall(way, way === ways[0]),
    planSource(way),
  ]);
  const lines = columnLines(rows).map((line) => `  ${line}`);
  return `${[head, ...lines, planCautions(ways, places).join(' ')].join('\n')}\n`;
}
