/**
 * The closed catalogue of error codes. Whatever a person or a program is told that went wrong carries one of
 * them; `deploy/docs/faults.md` is made from this page, and a test holds code, catalogue and page equal.
 */

/** What a code means, and what the person who reads it does. */
export type FaultNote = { meaning: string; whatToDo: string };

const houseFaults = {
  HOUSE_FILE: {
    meaning: 'The house file is not there, cannot be read, is no text, or is larger than 256 KiB.',
    whatToDo: 'Give the path of the file with --house; see that the user springhouse may read it.',
  },
  HOUSE_SYNTAX: {
    meaning:
      'The house file is not YAML 1.2: a bracket or quote is not closed, a tab indents, a tag is used.',
    whatToDo: 'Mend the line named. Indent with spaces; use no tags and no second document.',
  },
  HOUSE_DUPLICATE: {
    meaning: 'One field is written twice in the same mapping.',
    whatToDo: 'Remove one of the two.',
  },
  HOUSE_VERSION: {
    meaning: 'The file is of a version that this release does not read.',
    whatToDo: 'Write version: 1, or use the release that the file was written for.',
  },
  HOUSE_MISSING: {
    meaning: 'A field that must be given is not there or is empty.',
    whatToDo: 'Add the field; the fault says what it must be.',
  },
  HOUSE_UNKNOWN: {
    meaning: 'A field is not one of the house file, most often a slip of the pen.',
    whatToDo: 'Correct or remove it; the fault lists the fields that belong there.',
  },
  HOUSE_TYPE: {
    meaning: 'A value is of the wrong type, such as a number where text belongs.',
    whatToDo: 'Write what the fault says; digits that are a name go in quotes.',
  },
  HOUSE_FORM: {
    meaning: 'A text has the wrong shape, such as an id with a space in it.',
    whatToDo: 'Write it in the shape that the fault says.',
  },
  HOUSE_RANGE: {
    meaning: 'A number or quantity is outside of what is possible, or a list is too long.',
    whatToDo: 'Give a value within the bounds that the fault says.',
  },
  HOUSE_CHOICE: {
    meaning: 'A word is none of those that are known here.',
    whatToDo: 'Choose one of the words that the fault lists.',
  },
  HOUSE_UNIT: {
    meaning: 'A quantity is not a number with its unit.',
    whatToDo: 'Write the unit: 40 F, 60m, 0.95 L, 1420 m.',
  },
  HOUSE_REFERENCE: {
    meaning: 'A field names a probe, place, vessel or source that is not in the file.',
    whatToDo: 'Correct the id, or add the thing that it names.',
  },
  HOUSE_UNIQUE: {
    meaning: 'Two things have one id, or two wires claim one probe, device or topic.',
    whatToDo: 'Give each its own.',
  },
  HOUSE_CLASH: {
    meaning: 'Two fields that cannot both hold.',
    whatToDo: 'Change or remove one of the two, as the fault says.',
  },
  HOUSE_SOURCE: {
    meaning: 'The house has probes but no wire on which they could be heard.',
    whatToDo: 'Add a source, or write broker: {} for the broker inside Springhouse.',
  },
  HOUSE_SECRET: {
    meaning: 'A password stands in the house file, or the file or variable that holds it cannot be used.',
    whatToDo:
      'Put the password in a file that only its owner and group may read (chmod 640) and name it in passwordFile, or name an environment variable in passwordEnv.',
  },
} as const satisfies Record<string, FaultNote>;

const wireFaults = {
  WIRE_LONG: {
    meaning: 'A line or message was longer than any reading is; it was thrown away up to its end.',
    whatToDo: 'See what the device sends; a wrong baud rate looks like this, too.',
  },
  WIRE_GARBLED: {
    meaning: 'A line or message is neither SenML, nor a plain line "id value", nor what its mapping says.',
    whatToDo: 'Single ones come with plugging in. Many: check the baud rate, the cable and the format.',
  },
  WIRE_UNIT: {
    meaning: 'A reading is in a unit other than Cel.',
    whatToDo: 'Send °C with the unit Cel (RFC 8428), or map the topic with its unit in the house file.',
  },
  WIRE_RANGE: {
    meaning:
      'A temperature or an instant is impossible: no number, beyond any sensor, or more than 2 minutes ahead.',
    whatToDo: 'Check the sensor and its wiring, and the clock of the device.',
  },
  WIRE_PROBE: {
    meaning:
      'A reading is of a probe that the house file does not know, or came on another wire than its own.',
    whatToDo: 'Add the probe to the house file, or correct the id in the device.',
  },
  WIRE_RETAINED: {
    meaning: 'A retained message without an instant of its own: nobody knows when it was true.',
    whatToDo: 'Let the device publish without the retain flag, or with an instant in each reading.',
  },
  WIRE_SURPLUS: {
    meaning: 'A probe sent more than its share on a wire that cannot wait; the surplus was not kept.',
    whatToDo: 'Let the device send less often: one reading a second is plenty.',
  },
  SENSOR_CRC: {
    meaning: 'The checksum of a one-wire sensor did not fit what it sent.',
    whatToDo: 'Check cable length, pull-up resistor (4.7 kΩ) and contacts.',
  },
  SENSOR_FAULT: {
    meaning: 'A sensor answered, but with its power-on value, zeros, or a fault of its own.',
    whatToDo: 'Check its supply and contacts; replace it if the fault stays.',
  },
} as const satisfies Record<string, FaultNote>;

/** Every code, in the order in which the page lists them. */
export const faults = { ...houseFaults, ...wireFaults } as const;

/** One of the codes of the catalogue. */
export type FaultCode = keyof typeof faults;
