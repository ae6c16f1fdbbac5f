import type { FaultNote } from './fault-note.ts';

/** Codes of the house file and of what it names. */
export const houseFaults = {
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
