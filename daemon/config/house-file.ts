/** The house file `springhouse.yaml`, version 1: every field, what it must be, and what the house makes of it. */

import { z } from 'zod';
import { material, placeKind } from '../../shared/contract/ids.ts';
import { coolingRuleIds } from '../../shared/dairy/cooling-rules.ts';
import { isNamedZone } from '../../shared/units/zone.ts';
import { field } from './field.ts';
import {
  choice,
  flag,
  height,
  id,
  loopback,
  name,
  port,
  reference,
  span,
  temp,
  tempDiff,
  volume,
} from './house-fields.ts';
import { mirror } from './house-mirrors.ts';
import { source } from './house-sources.ts';
import { person, watcher, way } from './house-ways.ts';

/** The most that a house file may list of each; more are a fault. */
export const listedMax = {
  places: 64,
  vessels: 256,
  probes: 256,
  sources: 32,
  mirrors: 8,
  ways: 16,
  people: 16,
} as const;

/** The ports that a house listens on unless its file says others. */
export const httpPortDefault = 7340;
export const brokerPortDefault = 1883;

const house = field(
  z
    .strictObject({
      name: name('What the house is called.', 'Larkfell'),
      height: height('Height above sea level: water boils at less the higher the house stands.'),
      zone: field(z.string().refine(isNamedZone), {
        says: 'The time zone in which times of day are shown.',
        rule: 'a time zone of the IANA list, such as America/Denver',
        advice: 'Write region and city as "timedatectl list-timezones" shows them.',
        fault: 'HOUSE_CHOICE',
        examples: ['America/Denver', 'Europe/Vienna'],
      }),
      units: choice(['F', 'C'], 'The unit in which temperatures are shown.'),
    })
    .transform(({ height: heightM, ...rest }) => ({ ...rest, heightM })),
  {
    says: 'The house itself.',
    rule: 'a mapping with name, height, zone and units',
    advice: 'Write the four fields under house, indented by two spaces.',
  },
);

const chill = field(
  z
    .strictObject({
      limit: temp(
        { min: -5, max: 30 },
        {
          says: 'Milk is to be at this temperature or under it. Kept as typed, compared unrounded.',
          between: '23 F to 86 F (-5 C to 30 C)',
        },
      ).prefault('40 F'),
      within: span(
        { min: 60_000, max: 86_400_000 },
        { says: 'How long that may take from milking.', between: '1 minute to 24 hours' },
      ).prefault('60m'),
      region: choice(
        coolingRuleIds,
        'Whose rule is kept around it: milk that misses that is warned of whatever else is quiet.',
      ).default('household'),
      guard: flag(
        'Whether a chill counts as surely made only beyond the uncertainty of its probe. False compares the bare reading.',
      ).default(true),
    })
    .transform(({ limit, within, region, guard }) => ({ limitC: limit, spanMs: within, region, guard })),
  {
    says: 'The house rule for fresh milk.',
    rule: 'a mapping with limit, within, region and guard',
    advice: 'Write the fields under chill, indented by two spaces, or leave chill out.',
  },
);

const rescue = field(
  z
    .strictObject({
      ice: flag('Whether there is ice for a bath; thought of as there unless false.').optional(),
      water: flag(
        'Whether there is cold water to stand a jar in; thought of as there unless false.',
      ).optional(),
      tap: temp(
        { min: 0, max: 30 },
        {
          says: 'How cold that water comes.',
          between: '32 F to 86 F (0 C to 30 C)',
          examples: ['54 F', '12 C'],
        },
      ).optional(),
      jars: flag('Whether there are smaller jars to pour into; thought of as there unless false.').optional(),
      fan: flag(
        'Whether milk can be put nearer a fan where it stands; thought of as not there unless true.',
      ).optional(),
    })
    .transform(({ ice, water, tap, jars, fan }) => ({
      ice: ice ?? null,
      water: water ?? null,
      waterC: tap ?? null,
      vessels: jars ?? null,
      fan: fan ?? null,
    })),
  {
    says: 'What the house has at hand for milk that would miss its hour: only those ways out are told.',
    rule: 'a mapping with ice, water, tap, jars and fan',
    advice: 'Write the fields under rescue, indented by two spaces, or leave rescue out.',
  },
);

const place = z
  .strictObject({
    id: id('What the rest of the file calls this place.'),
    name: name('What people call it; the id unless given.', 'Chest freezer').optional(),
    kind: choice(placeKind.options, 'What the place is.'),
    around: reference('The probe that measures the air or water of this place.', 'probe').optional(),
    temp: temp(
      { min: -60, max: 120 },
      {
        says: 'How cold or warm the place is, where no probe measures it or that probe is silent.',
        between: '-76 F to 248 F (-60 C to 120 C)',
        examples: ['0 F', '4 C'],
      },
    ).optional(),
  })
  .transform(({ name: named, around, temp: tempC, ...rest }) => ({
    ...rest,
    name: named ?? rest.id,
    around: around ?? null,
    tempC: tempC ?? null,
  }));

const vessel = z
  .strictObject({
    id: id('What the rest of the file calls this vessel.'),
    name: name('What people call it; the id unless given.', 'Quart jar').optional(),
    kind: choice(['jar', 'bottle', 'can', 'pail', 'pot', 'vat'], 'What the vessel is.').default('jar'),
    material: choice(
      material.options,
      'What its wall is made of; heat passes glass, steel and plastic at different speeds.',
    ),
    volume: volume({ says: 'How much milk it usually holds.' }),
  })
  .transform(({ name: named, volume: volumeL, ...rest }) => ({ ...rest, name: named ?? rest.id, volumeL }));

const probe = z
  .strictObject({
    id: id('The id under which its readings arrive. Never reused for another role.'),
    name: name('What people call it; the id unless given.', 'Jar 1').optional(),
    source: reference(
      'The one wire whose readings of this probe are taken; any wire unless given. broker stands for the broker of this house.',
      'source',
    ).optional(),
    place: reference('Where it usually stands.', 'place').optional(),
    vessel: reference('What it usually hangs in.', 'vessel').optional(),
    uncertainty: tempDiff(
      { min: 0, max: 5 },
      { says: 'How far its reading may be off, either way.', between: '0 to 9 F (0 to 5 C)' },
    ).prefault('0.5 C'),
  })
  .transform(({ name: named, uncertainty, ...rest }) => ({
    id: rest.id,
    name: named ?? rest.id,
    source: rest.source ?? null,
    place: rest.place ?? null,
    vessel: rest.vessel ?? null,
    uncertaintyC: uncertainty,
  }));

const http = field(
  z.strictObject({
    host: loopback('The address on which the page is served.').default('127.0.0.1'),
    port: port('The port on which the page is served.').default(httpPortDefault),
  }),
  {
    says: 'Where the page is served.',
    rule: 'a mapping with host and port',
    advice: 'Write the fields under http, indented by two spaces, or leave http out.',
  },
);

const broker = field(
  z.strictObject({
    host: loopback('The address on which the broker listens.').default('127.0.0.1'),
    port: port('The port on which the broker listens.').default(brokerPortDefault),
  }),
  {
    says: 'The broker inside Springhouse, for probes that speak MQTT 3.1.1: there is one where this part stands, if only as `broker: {}`.',
    rule: 'a mapping with host and port',
    advice: 'Write the fields under broker, indented by two spaces, or leave broker out.',
  },
);

const clock = field(
  z.strictObject({
    trust: choice(
      ['synchronised', 'always'],
      'When the clock of this machine counts as known: synchronised, once the system says so; always, from the start (a machine with a good clock of its own).',
    ).default('synchronised'),
  }),
  {
    says: 'How far the clock of this machine is believed.',
    rule: 'a mapping with trust',
    advice: 'Write trust under clock, indented by two spaces, or leave clock out.',
  },
);

function list<T extends z.ZodType>(element: T, thing: keyof typeof listedMax, says: string) {
  const max = listedMax[thing];
  return field(z.array(element).meta({ maxItems: max }), {
    says,
    rule: `a list of at most ${max} ${thing}`,
    advice: 'Begin each with a dash; leave the field out where there are none.',
  }).default([]);
}

/** The house file as a schema; its input is what people write, its output is the `House`. */
export const houseFile = field(
  z
    .strictObject({
      version: field(z.literal(1), {
        says: 'The version of this format.',
        rule: '1',
        advice: 'Write version: 1 without quotes; other versions belong to other releases.',
        fault: 'HOUSE_VERSION',
      }),
      house,
      chill: chill.prefault({}),
      rescue: rescue.prefault({}),
      places: list(place, 'places', 'The named spots where milk stands; two fridges are two places.'),
      vessels: list(vessel, 'vessels', 'What holds the milk.'),
      probes: list(probe, 'probes', 'The temperature sensors in their roles.'),
      sources: list(source, 'sources', 'The wires on which readings arrive.'),
      mirrors: list(mirror, 'mirrors', 'Servers elsewhere that keep a copy of every reading.'),
      ways: list(way, 'ways', 'How the house speaks up, beside its page.'),
      people: list(person, 'people', 'Who is told; one person with all ways where none is named.'),
      watcher: watcher.optional(),
      broker: broker.optional(),
      http: http.prefault({}),
      clock: clock.prefault({}),
    })
    .transform(({ broker: own, watcher: outside, ...rest }) => ({
      ...rest,
      broker: own ?? null,
      watcher: outside ?? null,
    })),
  {
    says: 'The house file of Springhouse: what is watched, where it stands and how it is heard.',
    rule: 'a mapping that begins with version: 1 and house',
    advice: 'Begin with the example file, springhouse.example.yaml.',
  },
);

/** A house as the daemon knows it: °C, litres, metres, milliseconds; null where nothing was said. */
export type House = z.infer<typeof houseFile>;

/** One wire of a house. */
export type HouseSource = House['sources'][number];

/** One way on which letters leave a house. */
export type HouseWay = House['ways'][number];
