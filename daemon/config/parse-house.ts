/** From the text of a house file to a house, or to everything that is wrong with it. */

import { crossCheck } from './cross-check.ts';
import { byPlace, type Fault, faultOf } from './fault.ts';
import { type House, houseFile } from './house-file.ts';
import { type HouseText, houseTextMax, readHouseText } from './house-text.ts';
import { faultsOfIssue } from './schema-faults.ts';

/** A house, or every fault of its file in the order in which they stand there. */
export type ParsedHouse = { ok: true; house: House } | { ok: false; faults: Fault[] };

/** Reads a house file (YAML 1.2, `version: 1`); never throws. `fileName` is only shown. */
export function parseHouse(text: string, fileName: string): ParsedHouse {
  if (text.length > houseTextMax) return { ok: false, faults: [tooLong(text.length, fileName)] };
  const read = readHouseText(text, fileName);
  const checked = houseFile.safeParse(read.value, { reportInput: false });
  const found = checked.success ? [] : checked.error.issues.flatMap((issue) => faultsOfIssue(issue, read));
  const judged = [...found, ...crossCheck(read)].filter((fault) => isSure(fault, read));
  const faults = onePerPlace([...read.faults, ...judged].sort(byPlace));
  return checked.success && faults.length === 0 ? { ok: true, house: checked.data } : { ok: false, faults };
}

function tooLong(length: number, file: string): Fault {
  return faultOf({
    code: 'HOUSE_FILE',
    path: 'the file',
    rule: `text of at most ${houseTextMax} characters`,
    got: String(length),
    spot: { file, line: 1, column: 1 },
    advice: 'See that it is the house file and not another.',
  });
}

/** Faults that what stands after a break in the syntax could undo. */
const unsureAfterBreak: readonly string[] = ['HOUSE_MISSING', 'HOUSE_REFERENCE', 'HOUSE_SOURCE'];

/** Where the syntax breaks, only faults that stand on lines before are told: what follows may mean anything. */
function isSure(fault: Fault, { brokenAt, faults }: HouseText): boolean {
  if (brokenAt === null && faults.every(({ code }) => code === 'HOUSE_DUPLICATE')) return true;
  const brokenLine = Math.min(
    ...faults.filter(({ code }) => code === 'HOUSE_SYNTAX').map(({ line }) => line),
  );
  return fault.line < brokenLine && !unsureAfterBreak.includes(fault.code);
}

/** One fault for each thing: the schema and the second pass may both find one missing. */
function onePerPlace(faults: readonly Fault[]): Fault[] {
  const seen = new Set<string>();
  return faults.filter(({ code, path }) => {
    const key = `${code} ${path}`;
    const isNew = !seen.has(key);
    seen.add(key);
    return isNew;
  });
}
