/** What a schema cannot say of a house file: ids that are used twice, names that lead nowhere, fields that clash. */

import type { FaultCode } from '../../shared/contract/faults.ts';
import { type Fault, faultOf, pathText, valueText } from './fault.ts';
import { childOf } from './field.ts';
import { brokerPortDefault, httpPortDefault, listedMax } from './house-file.ts';
import { mappedMax } from './house-sources.ts';
import type { HouseText } from './house-text.ts';
import { pageWayId } from './house-ways.ts';
import { nearWord } from './near-word.ts';

/** The id by which probes name the broker inside Springhouse; no source may take it. */
export const ownBrokerId = 'broker';

type Path = (string | number)[];
type Found = { path: Path; value: string };
type Plaint = { code: FaultCode; path: Path; rule: string; got?: string; advice: string };

/** Finds every such fault of a file, whether or not its schema holds, so that all are told at once. */
export function crossCheck(text: HouseText): Fault[] {
  const root = text.value;
  const plaints = [
    ...tooMany(root),
    ...sameIds(root),
    ...deadReferences(root),
    ...sameClaims(root),
    ...clashes(root),
    ...wireless(root),
  ];
  return plaints.map(({ code, path, rule, got, advice }) => {
    const shown = got ?? valueText(path.reduce<unknown>(childOf, root));
    return faultOf({ code, path: pathText(path), rule, got: shown, spot: text.spotOf(path), advice });
  });
}

function listAt(root: unknown, key: string): unknown[] {
  const list = childOf(root, key);
  return Array.isArray(list) ? list : [];
}

/** Every text that stands under `field` in the items of a list. */
function textsIn(root: unknown, key: string, field: string): Found[] {
  return listAt(root, key).flatMap((item, index) => {
    const value = childOf(item, field);
    return typeof value === 'string' ? [{ path: [key, index, field], value }] : [];
  });
}

function tooMany(root: unknown): Plaint[] {
  const lists = Object.entries(listedMax).map(([key, max]) => ({ path: [key] as Path, max }));
  const mapped = listAt(root, 'sources').flatMap((_, index) => [
    { path: ['sources', index, 'topics'] as Path, max: mappedMax },
    { path: ['sources', index, 'sensors'] as Path, max: mappedMax },
  ]);
  return [...lists, ...mapped].flatMap(({ path, max }) => {
    const value = path.reduce<unknown>(childOf, root);
    const count = typeof value === 'object' && value !== null ? Object.keys(value).length : 0;
    const rule = `at most ${max} long`;
    return count > max
      ? [{ code: 'HOUSE_RANGE', path, rule, got: String(count), advice: 'Split the house in two.' } as const]
      : [];
  });
}

function sameIds(root: unknown): Plaint[] {
  return Object.keys(listedMax).flatMap((key) => {
    const ids = textsIn(root, key, 'id');
    const reserved: Partial<Record<string, string>> = { sources: ownBrokerId, ways: pageWayId };
    const own = reserved[key];
    const taken = own === undefined ? [] : [{ path: [own], value: own }];
    return repeats([...taken, ...ids], `an id that no other of the ${key} has`);
  });
}

/** A plaint for each value that an earlier one of the list has, too. */
function repeats(found: readonly Found[], rule: string): Plaint[] {
  const first = new Map<string, Path>();
  return found.flatMap(({ path, value }) => {
    const before = first.get(value);
    if (before === undefined) first.set(value, path);
    const advice = `It is taken by ${pathText(before ?? [])}; give each its own.`;
    return before === undefined ? [] : [{ code: 'HOUSE_UNIQUE', path, rule, advice } as const];
  });
}

function deadReferences(root: unknown): Plaint[] {
  const ids = (key: string) => textsIn(root, key, 'id').map(({ value }) => value);
  const claims = probeClaims(root);
  return [
    ...dead(textsIn(root, 'probes', 'place'), 'place', ids('places')),
    ...dead(textsIn(root, 'probes', 'vessel'), 'vessel', ids('vessels')),
    ...dead(textsIn(root, 'probes', 'source'), 'source', sourceIds(root)),
    ...dead(textsIn(root, 'places', 'around'), 'probe', ids('probes')),
    ...dead(claims, 'probe', ids('probes')),
    ...dead(textsIn(root, 'ways', 'source'), 'source', sourceIds(root)),
    ...dead(peoplesWays(root), 'way', [...ids('ways'), pageWayId]),
  ];
}

function peoplesWays(root: unknown): Found[] {
  return listAt(root, 'people').flatMap((person, index) => {
    const ways = childOf(person, 'ways');
    return (Array.isArray(ways) ? ways : []).flatMap((value, at) =>
      typeof value === 'string' ? [{ path: ['people', index, 'ways', at], value }] : [],
    );
  });
}

function sourceIds(root: unknown): string[] {
  const own = childOf(root, 'broker') === undefined ? [] : [ownBrokerId];
  return [...textsIn(root, 'sources', 'id').map(({ value }) => value), ...own];
}

function dead(found: readonly Found[], thing: string, known: readonly string[]): Plaint[] {
  return found
    .filter(({ value }) => !known.includes(value))
    .map(({ path, value }) => {
      const near = nearWord(value, known);
      const add = value === ownBrokerId && thing === 'source' ? 'Write broker: {}' : `Add it under ${thing}s`;
      return {
        code: 'HOUSE_REFERENCE',
        path,
        rule: `the id of a ${thing} in this file`,
        advice: near === null ? `${add}, or correct the id.` : `Did you mean ${near}?`,
      };
    });
}

/** Where sources say which probe a sensor or topic is. */
function probeClaims(root: unknown): (Found & { source: unknown })[] {
  return listAt(root, 'sources').flatMap((source, index) => {
    const sensors = childOf(source, 'sensors');
    const roms = typeof sensors === 'object' && sensors !== null ? Object.entries(sensors) : [];
    const topics = childOf(source, 'topics');
    const mapped = Array.isArray(topics) ? topics : [];
    const claims = [
      ...roms.map(([rom, value]) => ({ path: ['sources', index, 'sensors', rom] as Path, value })),
      ...mapped.map((topic, at) => ({
        path: ['sources', index, 'topics', at, 'probe'] as Path,
        value: childOf(topic, 'probe'),
      })),
    ];
    return claims.flatMap(({ path, value }) =>
      typeof value === 'string' ? [{ path, value, source: childOf(source, 'id') }] : [],
    );
  });
}

function sameClaims(root: unknown): Plaint[] {
  const devices = textsIn(root, 'sources', 'path').filter(
    ({ path }) => childOf(listAt(root, 'sources')[Number(path[1])], 'kind') === 'serial',
  );
  return [
    ...repeats(devices, 'a device that no other source opens'),
    ...repeats(probeClaims(root), 'a probe that no other sensor or topic is'),
  ];
}

function clashes(root: unknown): Plaint[] {
  return [...otherWire(root), ...passwords(root), ...tokens(root), ...waySecrets(root), ...samePort(root)];
}

/** A probe that is bound to one wire while a sensor of another wire claims to be it. */
function otherWire(root: unknown): Plaint[] {
  const claims = probeClaims(root);
  return listAt(root, 'probes').flatMap((probe, index) => {
    const claim = claims.find(({ value }) => value === childOf(probe, 'id'));
    const source = childOf(probe, 'source');
    if (claim === undefined || typeof source !== 'string' || source === claim.source) return [];
    const advice = `By ${pathText(claim.path)} it is heard there; change one of the two.`;
    const rule = `${String(claim.source)} or left out`;
    return [{ code: 'HOUSE_CLASH', path: ['probes', index, 'source'], rule, advice } as const];
  });
}

function passwords(root: unknown): Plaint[] {
  return listAt(root, 'sources').flatMap((source, index) => {
    const has = (key: string) => childOf(source, key) !== undefined;
    const plaints: Plaint[] = [];
    if (has('passwordFile') && has('passwordEnv')) {
      const path: Path = ['sources', index, 'passwordEnv'];
      const rule = 'left out where passwordFile is given';
      plaints.push({ code: 'HOUSE_CLASH', path, rule, advice: 'Keep one of the two.' });
    }
    if ((has('passwordFile') || has('passwordEnv')) && !has('user')) {
      const path: Path = ['sources', index, 'user'];
      const rule = 'given where there is a password';
      plaints.push({ code: 'HOUSE_MISSING', path, rule, advice: 'Write the name that the broker knows.' });
    }
    return plaints;
  });
}

function tokens(root: unknown): Plaint[] {
  return listAt(root, 'mirrors').flatMap((mirror, index) => {
    if (childOf(mirror, 'tokenFile') === undefined || childOf(mirror, 'tokenEnv') === undefined) return [];
    const path: Path = ['mirrors', index, 'tokenEnv'];
    const rule = 'left out where tokenFile is given';
    return [{ code: 'HOUSE_CLASH', path, rule, advice: 'Keep one of the two.' } as const];
  });
}

/** A secret that stands in two places, of a way or of the watcher. */
function waySecrets(root: unknown): Plaint[] {
  const owners: Path[] = [...listAt(root, 'ways').map((_, index) => ['ways', index]), ['watcher']];
  return owners.flatMap((owner) =>
    ['secret', 'password'].flatMap((what) => {
      const at = (key: string) => [...owner, key].reduce<unknown>(childOf, root);
      if (at(`${what}File`) === undefined || at(`${what}Env`) === undefined) return [];
      const rule = `left out where ${what}File is given`;
      const path = [...owner, `${what}Env`];
      return [{ code: 'HOUSE_CLASH', path, rule, advice: 'Keep one of the two.' } as const];
    }),
  );
}

function samePort(root: unknown): Plaint[] {
  const own = childOf(root, 'broker');
  if (own === undefined) return [];
  const brokerPort = childOf(own, 'port') ?? brokerPortDefault;
  const httpPort = childOf(childOf(root, 'http'), 'port') ?? httpPortDefault;
  if (brokerPort !== httpPort || brokerPort === 0) return [];
  const path: Path = childOf(own, 'port') === undefined ? ['http', 'port'] : ['broker', 'port'];
  const advice = 'The page and the broker cannot share one port; change one of the two.';
  return [{ code: 'HOUSE_CLASH', path, rule: 'another port than that of the page', advice }];
}

function wireless(root: unknown): Plaint[] {
  const heard = listAt(root, 'sources').length > 0 || childOf(root, 'broker') !== undefined;
  if (listAt(root, 'probes').length === 0 || heard) return [];
  const rule = 'at least one wire where there are probes';
  const advice = 'Add a source, or write broker: {} for the broker inside Springhouse.';
  return [{ code: 'HOUSE_SOURCE', path: ['sources'], rule, got: 'none', advice }];
}
