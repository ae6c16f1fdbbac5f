/** The wires that a house file can name: serial lines, brokers elsewhere, the kernel's one-wire sensors. */

import { z } from 'zod';
import { field } from './field.ts';
import { choice, id, path, reference, span } from './house-fields.ts';
import { authorityFile, secretEnv, secretFile, serverAddress, userAt } from './server-fields.ts';

/** The most sensors of one one-wire source, and the most topics of one broker; more are a fault. */
export const mappedMax = 256;

const sourceId = id('What probes and the health page call this wire.');

const serialSource = z.strictObject({
  id: sourceId,
  kind: z.literal('serial'),
  path: path({
    says: 'The device of the serial line. A name under /dev/serial/by-id stays the same when plugs are changed.',
    rule: 'the path of a serial device',
    advice: 'List /dev/serial/by-id, or /dev/ttyUSB* and /dev/ttyACM*, to find it.',
    examples: ['/dev/ttyUSB0'],
  }),
  baudRate: field(z.int().min(300).max(921_600), {
    says: 'Bits a second on the line.',
    rule: 'a whole number from 300 to 921600',
    advice: "Give the rate printed in the sensor's manual.",
    examples: [9600],
  }).default(115_200),
});

const topicMapping = z.strictObject({
  topic: field(
    z
      .string()
      .min(1)
      .max(512)
      .regex(/^[^#+/\0]+(\/[^#+/\0]+)*$/),
    {
      says: 'The topic on which another maker’s device publishes, in full.',
      rule: 'a topic without wildcards (+ and #) and without empty levels',
      advice: 'Give the topic of this one probe as the device publishes it.',
      fault: 'HOUSE_FORM',
      examples: ['larder/fridge'],
    },
  ),
  probe: reference('The probe whose temperature it is.', 'probe'),
  pointer: field(
    z
      .string()
      .max(512)
      .regex(/^(\/([^~/]|~[01])*)*$/),
    {
      says: 'Where in the JSON message the temperature stands: a JSON Pointer (RFC 6901). Empty means that the message is the number.',
      rule: 'a JSON Pointer',
      advice: 'Write /temperature for {"temperature": 3.9}, "" for a bare number.',
      fault: 'HOUSE_FORM',
      examples: ['/temperature'],
    },
  ).default(''),
  unit: choice(['C', 'F', 'K', 'mC'], 'The unit of the number; mC is a thousandth of a °C.').default('C'),
  scale: field(
    z.number().refine((value) => Number.isFinite(value) && value !== 0),
    {
      says: 'What the number is multiplied by before its unit counts: 0.1 for tenths.',
      rule: 'a number other than 0',
      advice: 'Leave it out, or give what one step of the number is worth.',
      fault: 'HOUSE_RANGE',
      examples: [0.1],
    },
  ).default(1),
});

const mqttSource = z.strictObject({
  id: sourceId,
  kind: z.literal('mqtt'),
  url: serverAddress(['mqtt:', 'mqtts:'], {
    says: 'The broker: mqtt:// or mqtts://, its host and port. Readings are taken from springhouse/<house>/reading/<probe>.',
    rule: 'an mqtt:// or mqtts:// address without user or password in it',
    advice: 'Write mqtt://host:1883; the user goes in user, the password in a file.',
    examples: ['mqtt://127.0.0.1:1883'],
  }),
  version: field(z.union([z.literal(3), z.literal(5)]), {
    says: 'The version of MQTT: 3 stands for 3.1.1, 5 for 5.0.',
    rule: '3 or 5',
    advice: 'Write 5, or 3 for an old broker.',
    fault: 'HOUSE_CHOICE',
    examples: [5],
  }).default(5),
  user: userAt('broker', 'springhouse'),
  passwordFile: secretFile({ secret: 'password' }, 'broker.password'),
  passwordEnv: secretEnv({ secret: 'password' }, 'SPRINGHOUSE_BROKER_PASSWORD'),
  caFile: authorityFile('an mqtts:// broker'),
  topics: field(z.array(topicMapping).meta({ maxItems: mappedMax }), {
    says: 'Topics of devices that publish JSON of their own.',
    rule: `a list of at most ${mappedMax} topics`,
    advice: 'Begin each with a dash.',
  }).default([]),
});

/** Families of one-wire thermometers that Linux names: 10 DS18S20, 22 DS1822, 28 DS18B20, 3b DS1825, 42 DS28EA00. */
const romPattern = /^(10|22|28|3b|42)-[0-9a-f]{12}$/;

const onewireSource = z
  .strictObject({
    id: sourceId,
    kind: z.literal('onewire'),
    path: path({
      says: 'The folder in which the kernel shows the sensors.',
      rule: 'the path of a folder',
      examples: ['/sys/bus/w1/devices'],
    }).default('/sys/bus/w1/devices'),
    every: span(
      { min: 1000, max: 3_600_000 },
      { says: 'How often each sensor is read.', between: '1 s to 1 h', examples: ['5s'] },
    ).prefault('5s'),
    sensors: field(
      z.record(
        field(z.string().regex(romPattern), {
          says: 'The number of the sensor as the kernel names its folder.',
          rule: 'a sensor number such as 28-0316a2795dff',
          advice: 'List the folder /sys/bus/w1/devices to see the numbers.',
          fault: 'HOUSE_FORM',
        }),
        reference('The probe that the sensor is.', 'probe'),
      ),
      {
        says: 'Which sensor is which probe: the number of the sensor, then the id of the probe. Sensors that are not named are left alone.',
        rule: `a mapping of at most ${mappedMax} sensor numbers to probe ids`,
        advice: 'Write a line such as 28-0316a2795dff: larder.',
      },
    ),
  })
  .transform(({ every, ...rest }) => ({ ...rest, everyMs: every }));

/** One wire of the house file. */
export const source = z.discriminatedUnion('kind', [serialSource, mqttSource, onewireSource]);
