/** The text of a house file as YAML 1.2: its plain value, what is wrong with its syntax, and where things stand. */

import {
  type Document,
  isAlias,
  isMap,
  isScalar,
  isSeq,
  LineCounter,
  type Node,
  type Pair,
  type ParsedNode,
  parseDocument,
  type YAMLError,
} from 'yaml';
import { byPlace, type Fault, faultOf, pathText, type Spot } from './fault.ts';

/** The most characters of a house file; a longer one is refused unread. */
export const houseTextMax = 262_144;

/** The deepest that brackets and indents may nest; beyond it the file is refused, since a parser would recurse. */
const depthMax = 32;

/** A house file after reading its YAML. */
export type HouseText = {
  /** Plain lists, mappings and scalars; undefined where there was nothing to build one from. */
  value: unknown;
  faults: Fault[];
  /** The first offset that could not be understood; what stands after it may mean anything. */
  brokenAt: number | null;
  /** Where the value at a path stands, or the nearest thing around it. */
  spotOf(path: readonly PropertyKey[], part?: 'key' | 'value'): Spot;
};

type HouseDocument = Document.Parsed<ParsedNode, true>;

/** Reads the YAML of a house file; never throws. Duplicate keys are faults that leave the rest readable. */
export function readHouseText(text: string, file: string): HouseText {
  const lines = new LineCounter();
  const spotAt = (offset: number): Spot => {
    const { line, col } = lines.linePos(offset);
    return { file, line: Math.max(line, 1), column: Math.max(col, 1) };
  };
  if (nestsTooDeep(text)) return unreadable(syntaxFault(spotAt(0), `more than ${depthMax} levels`));
  const document = parseDocument(text, {
    version: '1.2',
    stringKeys: true,
    lineCounter: lines,
    prettyErrors: false,
    logLevel: 'error',
  });
  const faults = [...document.errors, ...document.warnings].map((error) =>
    yamlFault(error, document, spotAt(error.pos[0])),
  );
  const breaks = document.errors.filter(({ code }) => code !== 'DUPLICATE_KEY').map(({ pos }) => pos[0]);
  if (document.directives.yaml.version !== '1.2') {
    faults.push(syntaxFault(spotAt(0), `YAML ${document.directives.yaml.version}`));
  }
  const built = plainValue(document);
  if (built.fault !== null) faults.push(syntaxFault(spotAt(0), built.fault));
  return {
    value: built.value,
    faults: faults.sort(byPlace),
    brokenAt: breaks.length === 0 ? null : Math.min(...breaks),
    spotOf: (path, part = 'value') => spotAt(offsetOf(document, path, part)),
  };
}

function unreadable(fault: Fault): HouseText {
  const spot = { file: '', line: fault.line, column: fault.column };
  return { value: undefined, faults: [fault], brokenAt: 0, spotOf: () => spot };
}

/** Counts brackets, and indents that grow, without parsing: an upper bound of how deep the file nests. */
function nestsTooDeep(text: string): boolean {
  let open = 0;
  for (const char of text) {
    if (char === '[' || char === '{') open += 1;
    else if (char === ']' || char === '}') open = Math.max(0, open - 1);
    if (open > depthMax) return true;
  }
  return text.split('\n').some((line) => {
    const lead = /^[\s?:-]*/.exec(line)?.[0] ?? '';
    return lead.length > depthMax * 4 && line.trim() !== '';
  });
}

function plainValue(document: HouseDocument): { value: unknown; fault: string | null } {
  try {
    return { value: document.toJS({ maxAliasCount: 100 }), fault: null };
  } catch (error) {
    return { value: undefined, fault: error instanceof Error ? error.message : String(error) };
  }
}

function syntaxFault(spot: Spot, got: string): Fault {
  return faultOf({
    code: 'HOUSE_SYNTAX',
    path: 'the file',
    rule: 'YAML 1.2',
    got,
    spot,
    advice: 'Mend this line or the one above; indent with spaces, close every quote and bracket.',
  });
}

function yamlFault(error: YAMLError, document: HouseDocument, spot: Spot): Fault {
  if (error.code !== 'DUPLICATE_KEY') return syntaxFault(spot, lowerFirst(error.message));
  return faultOf({
    code: 'HOUSE_DUPLICATE',
    path: pathText(pathAt(document.contents, error.pos[0]) ?? ['this field']),
    rule: 'given once',
    got: 'it again',
    spot,
    advice: 'Remove one of the two.',
  });
}

function lowerFirst(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1);
}

/** The path of the mapping key that begins at an offset. */
function pathAt(node: unknown, offset: number): PropertyKey[] | null {
  if (isMap(node)) {
    for (const pair of node.items) {
      const key = isScalar(pair.key) ? String(pair.key.value) : '';
      if ((pair.key as Node | null)?.range?.[0] === offset) return [key];
      const below = pathAt(pair.value, offset);
      if (below !== null) return [key, ...below];
    }
  } else if (isSeq(node)) {
    for (const [index, item] of node.items.entries()) {
      const below = pathAt(item, offset);
      if (below !== null) return [index, ...below];
    }
  }
  return null;
}

/** The offset of a key or value; of the nearest thing around it where nothing stands at the path. */
function offsetOf(document: HouseDocument, path: readonly PropertyKey[], part: 'key' | 'value'): number {
  let node: unknown = document.contents;
  let offset = document.contents?.range?.[0] ?? 0;
  for (const [depth, step] of path.entries()) {
    const mapping = isAlias(node) ? node.resolve(document) : node;
    const last = depth === path.length - 1;
    if (isMap(mapping)) {
      const pair = lastPair(mapping.items, String(step));
      if (pair === undefined) return offset;
      const keyOffset = (pair.key as Node).range?.[0] ?? offset;
      node = pair.value;
      const empty = !isScalar(node) || node.value !== null;
      offset = (last && part === 'key') || !empty ? keyOffset : startOf(node, keyOffset);
    } else if (isSeq(mapping)) {
      node = mapping.items[Number(step)];
      offset = startOf(node, offset);
    } else return offset;
  }
  return offset;
}

/** Where a key is written twice the later one is what the plain value holds. */
function lastPair(pairs: readonly Pair[], key: string): Pair | undefined {
  return pairs.findLast((pair) => isScalar(pair.key) && String(pair.key.value) === key);
}

function startOf(node: unknown, otherwise: number): number {
  return (node as Node | null | undefined)?.range?.[0] ?? otherwise;
}
