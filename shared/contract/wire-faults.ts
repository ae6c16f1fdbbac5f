import type { FaultNote } from './fault-note.ts';

/** Codes of what was on a wire and is no reading; each is counted and shown. */
export const wireFaults = {
  WATCHER_AWAY: {
    meaning: 'The watcher outside could not be told that all is well.',
    whatToDo: 'Look at its address in the house file and at the way out of the house.',
  },
  WIRE_LONG: {
    meaning: 'A line or message was longer than any reading is; it was thrown away up to its end.',
    whatToDo: 'See what the device sends; a wrong baud rate looks like this, too.',
  },
  WIRE_GARBLED: {
    meaning: 'A line or message is neither SenML, nor a plain line “id value”, nor what its mapping says.',
    whatToDo: 'Single ones come with plugging in. Many: check the baud rate, the cable and the format.',
  },
  WIRE_UNIT: {
    meaning: 'A reading is in a unit other than Cel.',
    whatToDo: 'Send °C with the unit Cel (RFC 8428), or map the topic with its unit in the house file.',
  },
  WIRE_RANGE: {
    meaning: 'A temperature that no probe of a dairy can show, or no number at all.',
    whatToDo: 'Check the sensor and its wiring; a cut or shorted cable reads like this.',
  },
  WIRE_TIME: {
    meaning: 'An instant that no reading can have.',
    whatToDo: 'Look at the time that the device sends; without a clock it should send none.',
  },
  WIRE_AHEAD: {
    meaning: 'A reading is stamped more than 2 minutes ahead of the clock of this machine.',
    whatToDo: 'Set the clock of the device, or of this machine.',
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
  SOURCE_SETTING: {
    meaning: 'A wire cannot work with its settings, whatever it is connected to.',
    whatToDo: 'Correct the field that the message names in the house file.',
  },
  BROKER_HOST: {
    meaning: 'The broker inside Springhouse was given an address that is not this machine’s own.',
    whatToDo: 'Give 127.0.0.1, ::1 or localhost.',
  },
  BROKER_HOUSE: {
    meaning: 'The id of the house cannot stand in a topic.',
    whatToDo: 'Use an id without “/”, “+” and “#”.',
  },
  READING_RULE: {
    meaning: 'A reading has a field that breaks a rule of the history; it was left out and counted.',
    whatToDo: 'Correct its source; the message names the field.',
  },
  READING_REJECTED: {
    meaning: 'The database would not take this one reading; the others of its group were kept.',
    whatToDo: 'Note the message and report it: this should not happen.',
  },
} as const satisfies Record<string, FaultNote>;
