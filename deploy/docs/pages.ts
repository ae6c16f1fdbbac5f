/** The pages and the schema that are made from the code. */

import { faultsPage } from './faults-page.ts';
import { houseFilePage } from './house-file-page.ts';
import { houseSchemaText } from './house-schema.ts';
import { sentencesPage } from './sentences-page.ts';

/** Every generated file of this folder: its name and whole text. */
export function generatedPages(): Readonly<Record<string, string>> {
  return {
    'faults.md': faultsPage(),
    'house-file.md': houseFilePage(),
    'sentences.md': sentencesPage(),
    'springhouse.schema.json': houseSchemaText(),
  };
}
