/**
 * The closed catalogue of error codes. Whatever a person or a program is told that went wrong carries one of
 * them; `deploy/docs/faults.md` is made from it, and a test holds code, catalogue and page equal.
 */

import { askingFaults } from './asking-faults.ts';
import { dataFaults } from './data-faults.ts';
import { doorFaults } from './door-faults.ts';
import { houseFaults } from './house-faults.ts';
import { wireFaults } from './wire-faults.ts';

/** The codes by what they concern, in the order in which the page lists them. */
export const faultGroups = {
  'The house file': houseFaults,
  'Wires, sensors and readings': wireFaults,
  'The data folder': dataFaults,
  'What was asked': askingFaults,
  'Doors and people': doorFaults,
} as const;

/** Every code with its note. */
export const faults = {
  ...houseFaults,
  ...wireFaults,
  ...dataFaults,
  ...askingFaults,
  ...doorFaults,
} as const;

/** One of the codes of the catalogue. */
export type FaultCode = keyof typeof faults;
