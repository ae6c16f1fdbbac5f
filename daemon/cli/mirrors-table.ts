import type { DiskView, MirrorView } from '../../shared/contract/api.ts';
import { formatSpan } from '../../shared/units/format.ts';

const words: Readonly<Record<MirrorView['state'], string>> = {
  current: 'up to date',
  behind: 'catching up',
  away: 'not reached',
  denied: 'not let in',
};

/** What `springhouse mirrors` prints: a line a mirror with its lag, then what the files take. */
export function mirrorsTable(mirrors: readonly MirrorView[], disk: DiskView, nowMs: number): string {
  const width = Math.max(0, ...mirrors.map(({ id }) => id.length));
  const lines = mirrors.map((mirror) => `${mirror.id.padEnd(width)}  ${stateOf(mirror, nowMs)}`);
  const megabytes = (bytes: number) => `${(bytes / 1e6).toFixed(1)} MB`;
  const { historyBytes, recordBytes, freeBytes } = disk;
  const taken = `readings ${megabytes(historyBytes)}, record ${megabytes(recordBytes)}, free ${megabytes(freeBytes)}`;
  return `${[mirrors.length === 0 ? 'no mirror is named in the house file' : lines.join('\n'), taken].join('\n')}\n`;
}

function stateOf(
  { state, lagMs, waiting, held, takenAtMs, setAside, why }: MirrorView,
  nowMs: number,
): string {
  const parts = [
    words[state],
    lagMs > 0 ? `${formatSpan(lagMs)} behind` : '',
    waiting > 0 && state !== 'current' ? `${waiting} inputs to go` : '',
    held ? 'some readings wait until the clock is known' : '',
    takenAtMs === null ? '' : `last taken ${formatSpan(Math.max(0, nowMs - takenAtMs))} ago`,
    setAside > 0 ? `${setAside} readings refused by it` : '',
    why,
  ];
  return parts.filter((part) => part !== '').join('; ');
}
