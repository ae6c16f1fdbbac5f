/** The import rules of the rooms, as data, and the reader that holds a tree against them. */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { parseSync } from 'oxc-parser';

/** One source file as the rules see it: where it stands and what it says. */
export type SourceFile = { path: string; text: string };

/** One broken rule, with what to do about it. */
export type RoomFault = { path: string; rule: string; got: string; doThis: string };

const daemonRooms = [
  'broker',
  'cli',
  'clock',
  'config',
  'door',
  'forecast',
  'history',
  'http',
  'inspect',
  'intake',
  'mirror',
  'notify',
  'people',
  'record',
  'service',
  'watch',
];

/** Files that stand in the daemon's own folder wire the rooms together; everything may be imported there. */
const wiring = /^daemon\/[^/]+\.ts$/;

/** Rooms that are plain data in and out. */
const pure = /^(shared|daemon\/watch|daemon\/forecast)\//;

/** Names that bring the world into a pure room. */
const worldly = new Set([
  'Date',
  'process',
  'performance',
  'setTimeout',
  'setInterval',
  'setImmediate',
  'queueMicrotask',
  'fetch',
  'crypto',
  'globalThis',
  'Buffer',
  'console',
]);

/** Packages that pure rooms may use: schemas of contracts have no I/O. */
const purePackages = new Set(['zod']);

/** Reads every source file under the named folders of a tree, paths with `/` and from its root. */
export function readTree(root: string, folders: readonly string[]): SourceFile[] {
  return folders.flatMap((folder) =>
    readdirSync(join(root, folder), { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name))
      .map((entry) => join(entry.parentPath, entry.name))
      .filter((path) => !path.includes(`${sep}dist${sep}`))
      .map((path) => ({
        path: relative(root, path).split(sep).join('/'),
        text: readFileSync(path, 'utf8'),
      })),
  );
}

/** Holds files against the rules of the rooms and returns every fault. */
export function checkRooms(files: readonly SourceFile[]): RoomFault[] {
  return files.flatMap((file) => {
    const parsed = parseSync(file.path, file.text);
    const unreadable = parsed.errors.map((error) => ({
      path: file.path,
      rule: 'a source file must be readable by the checker',
      got: error.message,
      doThis: 'Mend the file, or the checker if the language has moved on.',
    }));
    const imports = importsOf(parsed).flatMap((specifier) => checkImport(file.path, specifier));
    const words = pure.test(file.path)
      ? worldlyNames(parsed.program).map((name) => worldlyFault(file.path, name))
      : [];
    return [...unreadable, ...imports, ...words];
  });
}

type Parsed = ReturnType<typeof parseSync>;

function importsOf({ module, program }: Parsed): string[] {
  const still = module.staticImports.map(({ moduleRequest }) => moduleRequest.value);
  const passed = module.staticExports.flatMap(({ entries }) =>
    entries.flatMap(({ moduleRequest }) => (moduleRequest === null ? [] : [moduleRequest.value])),
  );
  const dynamic = nodesOf(program)
    .filter(({ type }) => type === 'ImportExpression')
    .map((node) => String((node.source as { value?: unknown } | undefined)?.value ?? '(computed)'));
  return [...still, ...passed, ...dynamic.map((specifier) => `import:${specifier}`)];
}

function checkImport(path: string, specifier: string): RoomFault[] {
  if (specifier.startsWith('import:')) {
    return fault(
      path,
      'all wiring is by name',
      specifier,
      'Import it statically; wire it in daemon/compose.ts.',
    );
  }
  if (!specifier.startsWith('.')) return checkPackage(path, specifier);
  const target = relative(resolve('.'), resolve(dirname(path), specifier))
    .split(sep)
    .join('/');
  const [from, to] = [path.split('/'), target.split('/')];
  const topFault = checkTop(path, from[0] as string, to[0] as string, specifier);
  if (topFault.length > 0) return topFault;
  if (from[0] !== 'daemon' || to[0] !== 'daemon' || wiring.test(path)) return [];
  return checkDaemonRooms(path, { from: from[1] as string, to, specifier });
}

function checkTop(path: string, from: string, to: string, specifier: string): RoomFault[] {
  const may: Record<string, string[]> = {
    shared: ['shared'],
    probes: ['probes', 'shared'],
    daemon: ['daemon', 'probes', 'shared'],
    dashboard: ['dashboard', 'shared'],
  };
  const allowed = may[from];
  if (allowed === undefined || allowed.includes(to)) return [];
  const rule = `${from} must import only from ${allowed.join(', ')}`;
  return fault(
    path,
    rule,
    specifier,
    'Move what both need to shared/, or pass it in from daemon/compose.ts.',
  );
}

function checkDaemonRooms(
  path: string,
  { from, to, specifier }: { from: string; to: string[]; specifier: string },
): RoomFault[] {
  const room = to[1] as string;
  if (room === from || room === 'sqlite' || (from === 'watch' && room === 'forecast')) return [];
  const rule =
    'rooms of the daemon must meet only in its wiring (watch may use forecast, all may use sqlite)';
  return fault(path, rule, specifier, 'Take a port as an option and wire it in daemon/compose.ts.');
}

function checkPackage(path: string, specifier: string): RoomFault[] {
  if (!pure.test(path) || purePackages.has(specifier)) return [];
  const rule = 'shared, watch and forecast must have no I/O and no packages but zod';
  return fault(path, rule, specifier, 'Take what it gives as plain data in the input.');
}

function worldlyFault(path: string, name: string): RoomFault {
  const rule = 'shared, watch and forecast must take time, chance and the world as input';
  return { path, rule, got: name, doThis: 'Take an instant, a seed or the value as an argument.' };
}

function fault(path: string, rule: string, got: string, doThis: string): RoomFault[] {
  return [{ path, rule, got, doThis }];
}

type Node = { type: string; [key: string]: unknown };

function worldlyNames(program: unknown): string[] {
  const found: string[] = [];
  for (const node of nodesOf(program)) {
    if (node.type === 'Identifier' && worldly.has(String(node.name))) found.push(String(node.name));
    if (node.type !== 'MemberExpression') continue;
    const { object, property } = node as unknown as { object: Node; property: Node };
    if (object.name === 'Math' && property.name === 'random') found.push('Math.random');
  }
  return found;
}

function nodesOf(root: unknown): Node[] {
  const found: Node[] = [];
  const left: unknown[] = [root];
  while (left.length > 0) {
    const value = left.pop();
    if (Array.isArray(value)) left.push(...value);
    else if (typeof value === 'object' && value !== null) {
      if (typeof (value as Node).type === 'string') found.push(value as Node);
      left.push(...Object.values(value));
    }
  }
  return found;
}

/** The folders that the rules cover. */
export const ruledFolders = ['shared', 'probes', 'daemon', 'dashboard'] as const;

/** Rooms of the daemon that the rules know; a folder beside them is told, so that no room is unruled. */
export function unknownRooms(files: readonly SourceFile[]): string[] {
  const known = new Set([...daemonRooms, 'sqlite']);
  const rooms = files.flatMap(({ path }) => /^daemon\/([^/]+)\//.exec(path)?.[1] ?? []);
  return [...new Set(rooms)].filter((room) => !known.has(room));
}
