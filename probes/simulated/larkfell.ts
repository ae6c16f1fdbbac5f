import type { Material, PlaceKind } from '../../shared/contract/ids.ts';

/** One probe of the demo house: what the house file says of it, and how the simulated one behaves. */
export type DemoProbe = {
  id: string;
  name: string;
  place: { id: string; name: string; kind: PlaceKind };
  vessel: { name: string; volumeL: number; material: Material } | null;
  /** How often it speaks. */
  intervalMs: number;
};

/** Larkfell: an invented hill holding. Its probes in the order in which a house file would list them. */
export const larkfell = {
  name: 'Larkfell',
  heightM: 1420,
  probes: [
    {
      id: 'jar-1',
      name: 'Bramble and Sorrel',
      place: { id: 'ice-tub', name: 'Ice tub', kind: 'ice-bath' },
      vessel: { name: 'Quart jar', volumeL: 0.95, material: 'glass' },
      intervalMs: 2000,
    },
    {
      id: 'jar-2',
      name: 'Teasel and Plum',
      place: { id: 'chest-freezer', name: 'Chest freezer', kind: 'freezer' },
      vessel: { name: 'Quart jar', volumeL: 0.95, material: 'glass' },
      intervalMs: 2000,
    },
    {
      id: 'larder-fridge',
      name: 'Larder fridge',
      place: { id: 'larder-fridge', name: 'Larder fridge', kind: 'fridge' },
      vessel: null,
      intervalMs: 5000,
    },
    {
      id: 'chest-freezer',
      name: 'Chest freezer',
      place: { id: 'chest-freezer', name: 'Chest freezer', kind: 'freezer' },
      vessel: null,
      intervalMs: 5000,
    },
    {
      id: 'kitchen',
      name: 'Kitchen',
      place: { id: 'kitchen', name: 'Kitchen', kind: 'room' },
      vessel: null,
      intervalMs: 5000,
    },
    {
      id: 'copper-pot',
      name: 'Copper pot',
      place: { id: 'stove', name: 'Stove', kind: 'pot' },
      vessel: { name: 'Copper pot', volumeL: 8, material: 'copper' },
      intervalMs: 3000,
    },
  ],
} as const satisfies { name: string; heightM: number; probes: readonly DemoProbe[] };

export type DemoProbeId = (typeof larkfell)['probes'][number]['id'];
