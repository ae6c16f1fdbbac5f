import type { FaultNote } from './fault-note.ts';

/** Codes of the doors: who is not let in, and why a house does not open. */
export const doorFaults = {
  HTTP_UNKEPT: {
    meaning: 'The disk refuses to keep what was asked.',
    whatToDo: 'See to the disk; the code in the message says what ails it.',
  },
  HTTP_FLOOD: {
    meaning: 'One address of the network asks the house too much.',
    whatToDo: 'Close pages that are left open there; look for a device that goes round in circles.',
  },
  DOOR_SIGN_IN: {
    meaning: 'The house is open to its network, and whoever asks has not signed in.',
    whatToDo: 'Open the page and sign in.',
  },
  DOOR_WRONG: {
    meaning: 'Name and password do not fit.',
    whatToDo: 'Look at both. springhouse people code NAME makes a code that sets a new password.',
  },
  DOOR_CODE: {
    meaning: 'The pairing code was used, is more than ten minutes old, or was never made.',
    whatToDo: 'Make a new one: springhouse people code, or on the page under People.',
  },
  DOOR_WAIT: {
    meaning: 'The next try comes too soon after wrong ones.',
    whatToDo: 'Wait as long as the message says. Whoever is signed in is not affected.',
  },
  DOOR_PASSWORD: {
    meaning: 'A new password is too short, too long or too easily guessed.',
    whatToDo: 'Take three unlike words.',
  },
  DOOR_NAME: {
    meaning: 'A name cannot be a person’s name here, or somebody has it.',
    whatToDo: 'Give another name, or sign in.',
  },
  DOOR_FULL: {
    meaning: 'The house has as many people as it takes, or too many sign in at once.',
    whatToDo: 'Remove somebody, or come again in a few seconds.',
  },
  DOOR_UNKNOWN: {
    meaning: 'The house has no such person or probe.',
    whatToDo: 'See springhouse people and springhouse probes for those it has.',
  },
  DOOR_SETTING: {
    meaning: 'The house cannot be opened as asked.',
    whatToDo: 'Correct the option that the message names; springhouse open --help lists them.',
  },
  DOOR_ADDRESS: {
    meaning: 'The house cannot listen on one of its addresses.',
    whatToDo: 'See that the machine has this address and that nothing else listens on the port.',
  },
  DOOR_CERTIFICATE: {
    meaning: 'Certificate or key cannot be read, do not fit each other, or are not valid today.',
    whatToDo: 'Give a certificate with its key in PEM, closed to others, and renew it in time.',
  },
  DOOR_SOCKET: {
    meaning: 'The socket by which the command line speaks to a running house cannot be had.',
    whatToDo: 'Choose a data folder with a shorter path, on a disk that knows sockets.',
  },
  BROKER_KEY: {
    meaning: 'A client of the network came to the broker without the key of a probe.',
    whatToDo:
      'Give the device its probe’s id as user and the key as password; springhouse key PROBE makes a new one.',
  },
  BROKER_TOPIC: {
    meaning: 'A device published on a topic, or about a probe, that is not its own.',
    whatToDo: 'Let it publish only on its own probe’s topic; give each device a key of its own.',
  },
} as const satisfies Record<string, FaultNote>;
