import type { ProbeView, RefusalView } from '../../shared/contract/api.ts';
import { counted, formatClock, formatDate, formatTemp, type Units } from '../../shared/units/format.ts';
import { columnLines } from './columns.ts';

/** The newest refusals, each kind of it once, for a person to mend. */
export function refusalLines(refusals: readonly RefusalView[]): string {
  const lines = new Set(refusals.map(({ code, message }) => `${code}: ${message}`));
  return lines.size === 0 ? '' : `\nNot taken:\n${[...lines].map((line) => `  ${line}\n`).join('')}`;
}

/** What `springhouse probes` prints: a line a probe, counts where something was refused or came twice. */
export function probesTable(
  probes: readonly ProbeView[],
  house: { units: Units; zone: string; name: string },
): string {
  const rows = probes.map((probe) => [probe.id, nameOf(probe), stateOf(probe, house), countsOf(probe)]);
  return `${[`${house.name}: ${counted(probes.length, 'probe')}`, ...columnLines(rows)].join('\n')}\n`;
}

function nameOf({ id, name, place }: ProbeView): string {
  const at = place === null ? '' : `, ${place.name}`;
  return `${name === id ? '' : name}${at}`.replace(/^, /, '');
}

function stateOf({ latest, state }: ProbeView, { units, zone }: { units: Units; zone: string }): string {
  if (latest === null) return 'never heard';
  const when = `${formatDate(latest.atMs, zone)} ${formatClock(latest.atMs, zone)}`;
  const temp = formatTemp(latest.tempC, { units });
  return state === 'silent' ? `silent; last ${temp} at ${when}` : `${temp} at ${when}`;
}

function countsOf({ counts }: ProbeView): string {
  return Object.entries(counts)
    .filter(([what, many]) => what !== 'taken' && many > 0)
    .map(([what, many]) => `${many} ${what}`)
    .join(', ');
}
