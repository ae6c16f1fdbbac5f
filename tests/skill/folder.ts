/** Reads jars from a folder of CSV files, as deploy/docs/skill.md describes it. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { material, placeKind } from '../../shared/contract/ids.ts';
import { limitC, type SkillJar, truthMin } from './jar.ts';

type Columns = Record<string, string>;

const timeNames = ['at', 'atms', 't_s', 't_min', 't', 'time'];
const tempNames = ['tempc', 'celsius', 'temp_c', 'jar', 'milk', 'probec'];
const truthNames = ['truthc', 'truth_c', 'truth'];

/** Returns the jars of a folder; throws where it holds no CSV file with a time and a temperature. */
export function folderJars(folder: string): SkillJar[] {
  const index = readIndex(folder);
  const files =
    index.length > 0
      ? index
      : readdirSync(folder)
          .filter((name) => name.endsWith('.csv'))
          .map((file) => ({ file }));
  const jars = files.map((entry) => readJarFile(folder, entry));
  if (jars.length === 0) throw new Error(`SKILL_FOLDER: ${folder} must hold CSV files, got none.`);
  return jars;
}

function readIndex(folder: string): Columns[] {
  const jsonFile = join(folder, 'jars.json');
  if (existsSync(jsonFile)) {
    const list = JSON.parse(readFileSync(jsonFile, 'utf8')) as Record<string, unknown>[];
    return list.map((entry) =>
      Object.fromEntries(
        Object.entries(entry).map(([key, value]) => [key.toLowerCase(), String(value ?? '')]),
      ),
    );
  }
  const csvFile = join(folder, 'jars.csv');
  return existsSync(csvFile) ? readTable(readFileSync(csvFile, 'utf8')) : [];
}

/** Rows of a plain CSV (no quotes), keyed by lower-case column names; lines with # are comments. */
function readTable(text: string): Columns[] {
  const lines = text.split(/\r?\n/).filter((line) => line.trim() !== '' && !line.startsWith('#'));
  const names = (lines[0] ?? '').split(',').map((name) => name.trim().toLowerCase());
  return lines.slice(1).map((line) => {
    const cells = line.split(',');
    return Object.fromEntries(names.map((name, place) => [name, (cells[place] ?? '').trim()]));
  });
}

function readJarFile(folder: string, entry: Columns): SkillJar {
  const file = entry.file ?? `${entry.id ?? ''}.csv`;
  const rows = readTable(readFileSync(join(folder, file), 'utf8'));
  const names = Object.keys(rows[0] ?? {});
  const timeName = names.find((name) => timeNames.includes(name)) ?? names[0] ?? '';
  const tempName = names.find((name) => tempNames.includes(name)) ?? names[1] ?? '';
  const truthName = names.find((name) => truthNames.includes(name));
  const instant = instantOf(timeName);
  const startMs = entry.since ? instantOf('at')(entry.since) : instant(rows[0]?.[timeName] ?? '0');
  const readings = rows
    .filter((row) => row[tempName] !== '')
    .map((row) => ({ atMs: instant(row[timeName] ?? '') - startMs, tempC: Number(row[tempName]) }))
    .filter(({ atMs, tempC }) => atMs >= 0 && Number.isFinite(tempC));
  if (readings.length === 0)
    throw new Error(`SKILL_FILE: ${file} must have a time and a temperature column.`);
  const truths =
    truthName === undefined
      ? readings
      : rows.map((row) => ({ atMs: instant(row[timeName] ?? '') - startMs, tempC: Number(row[truthName]) }));
  return {
    id: entry.id ?? file,
    scene: null,
    place: placeKind.safeParse(entry.place).data ?? null,
    volumeL: numberOf(entry.volumel ?? entry.volume),
    material: material.safeParse(entry.material).data ?? null,
    readings,
    crossedMin: crossingOf(entry, truths, startMs),
    aroundC: [],
    moved: entry.moved === 'true' || entry.moved === '1',
  };
}

function instantOf(timeName: string): (cell: string) => number {
  if (timeName === 't_s') return (cell) => Number(cell) * 1000;
  if (timeName === 't_min') return (cell) => Number(cell) * 60_000;
  return (cell) => (/^-?\d+(\.\d+)?$/.test(cell) ? Number(cell) : Date.parse(cell));
}

/** The index's own crossing where it has one (minutes, or an instant), else the first truth under the limit. */
function crossingOf(entry: Columns, truths: readonly { atMs: number; tempC: number }[], startMs: number) {
  const told = numberOf(entry.crossedmin ?? entry.crossed_min);
  if (told !== null) return told > truthMin ? null : told;
  if (entry.crossedat) return (instantOf('at')(entry.crossedat) - startMs) / 60_000;
  const found = truths.findIndex(
    ({ atMs, tempC }, place) =>
      tempC <= limitC &&
      truths.slice(place + 1).every((later) => later.atMs > atMs + 60_000 || later.tempC <= limitC),
  );
  return found < 0 ? null : (truths[found] as { atMs: number }).atMs / 60_000;
}

function numberOf(cell: string | undefined): number | null {
  const value = Number((cell ?? '').replace(/l$/i, ''));
  return cell === undefined || cell === '' || !Number.isFinite(value) ? null : value;
}
