/** The lines under "house:": what the house is told beforehand. */

import type { PlaceRules, ProbeRules } from '../../../daemon/watch/rules.ts';
import { type PlaceKind, placeKind } from '../../../shared/contract/ids.ts';
import type { KeepWindow } from '../../../shared/contract/keep.ts';
import { type Form, type LineFault, takeLine } from './form.ts';
import type { HouseTold } from './scenario.ts';

/** The house as it is being told, so that places may be named before they are described. */
export type HouseDraft = {
  limitC: number;
  spanMs: number;
  guarded: boolean;
  startsByItself: boolean;
  units: 'F' | 'C';
  seed: number;
  places: Record<string, PlaceRules>;
  probes: Record<string, ProbeRules>;
};

/** A house that nothing was told: 40 °F within the hour, a seed of 1. */
export function openHouse(): HouseDraft {
  return {
    limitC: ((40 - 32) * 5) / 9,
    spanMs: 3_600_000,
    guarded: true,
    startsByItself: true,
    units: 'F',
    seed: 1,
    places: {},
    probes: {},
  };
}

/** The forms of the house's lines. */
export const houseForms: readonly Form<HouseDraft>[] = [
  {
    form: 'limit TEMP within SPAN',
    take: (found, house) => {
      house.limitC = found.number('TEMP');
      house.spanMs = found.number('SPAN');
      return null;
    },
  },
  {
    form: 'shown in F/C',
    take: (found, house) => {
      house.units = found.says('F') ? 'F' : 'C';
      return null;
    },
  },
  {
    form: 'guard off',
    take: (_, house) => {
      house.guarded = false;
      return null;
    },
  },
  {
    form: 'begins only by word',
    take: (_, house) => {
      house.startsByItself = false;
      return null;
    },
  },
  {
    form: 'seed NUMBER',
    take: (found, house) => {
      house.seed = found.number('NUMBER');
      return null;
    },
  },
  {
    form: 'place PLACE is a/an KIND',
    take: (found, house) => addPlace(house, found.text('PLACE'), found.text('KIND')),
  },
  {
    form: 'place PLACE is a/an KIND around TEMP',
    take: (found, house) =>
      addPlace(house, found.text('PLACE'), found.text('KIND'), { aroundC: found.number('TEMP') }),
  },
  {
    form: 'place PLACE is a/an KIND kept from TEMP to TEMP',
    take: (found, house) =>
      addPlace(house, found.text('PLACE'), found.text('KIND'), {
        keep: { lowC: found.number('TEMP'), highC: found.number('TEMP', 1) },
      }),
  },
];

/** The forms of the facts of a probe, which stand behind `probe PROBE:` with commas between them. */
export const probeFactForms: readonly Form<{ probe: ProbeRules }>[] = [
  {
    form: 'in PLACE',
    take: (found, { probe }) => {
      probe.place = found.text('PLACE');
      return null;
    },
  },
  {
    form: 'measures PLACE',
    take: (found, { probe }) => {
      probe.measures = found.text('PLACE');
      return null;
    },
  },
  {
    form: '± DIFF',
    take: (found, { probe }) => {
      probe.uncertaintyC = found.number('DIFF');
      return null;
    },
  },
  {
    form: 'VOLUME of MATERIAL',
    take: (found, { probe }) => {
      probe.volumeL = found.number('VOLUME');
      probe.material = found.text('MATERIAL') as ProbeRules['material'];
      return null;
    },
  },
  {
    form: 'VOLUME',
    take: (found, { probe }) => {
      probe.volumeL = found.number('VOLUME');
      return null;
    },
  },
];

const probeLine = /^probe ([^:,]+?) *: *(.+)$/;

/** Takes one line of the house; the facts of a probe one by one. */
export function takeHouseLine(line: string, house: HouseDraft): LineFault | null {
  const match = probeLine.exec(line);
  if (match === null) return takeLine(line, houseForms, house);
  const [, name = '', facts = ''] = match;
  const probe: ProbeRules = { place: null, volumeL: null, material: null, uncertaintyC: 0.5, measures: null };
  house.probes[name] = probe;
  for (const fact of facts.split(',')) {
    const fault = takeLine(fact.trim(), probeFactForms, { probe });
    if (fault !== null)
      return { ...fault, what: fault.what === 'the line' ? `the fact of probe ${name}` : fault.what };
  }
  return null;
}

/** Knows a place by name; one that is called as its kind need not be described. Null where it is neither. */
export function knowPlace(house: HouseDraft, place: string): LineFault | null {
  if (house.places[place] !== undefined) return null;
  const kind = placeKind.safeParse(place);
  if (!kind.success) {
    return {
      what: 'the place',
      must: `described under house, or called as a kind of place (${placeKind.options.join(', ')})`,
      got: place,
      doThis: `Write "place ${place} is a freezer" under house, or what it is.`,
    };
  }
  house.places[place] = { kind: kind.data, aroundC: null };
  return null;
}

/** The house as the watching is told of it. */
export function houseTold(draft: HouseDraft): HouseTold {
  const { limitC, spanMs, guarded, startsByItself, places, probes, units, seed } = draft;
  return { rules: { chill: { limitC, spanMs, guarded }, places, probes, startsByItself }, units, seed };
}

function addPlace(
  house: HouseDraft,
  place: string,
  kind: string,
  more: { aroundC?: number; keep?: KeepWindow } = {},
): null {
  house.places[place] = { kind: kind as PlaceKind, aroundC: null, ...more };
  return null;
}
