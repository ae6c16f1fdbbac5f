/** The JSON Schema of the house file, for editors that complete and check YAML while it is typed. */

import { z } from 'zod';
import { houseFile } from '../../daemon/config/house-file.ts';

/** JSON Schema draft 7, the draft that YAML editors read, of what people write (not of what the house makes of it). */
export function houseSchemaText(): string {
  const { $schema, ...rest } = z.toJSONSchema(houseFile, { io: 'input', target: 'draft-7' });
  const schema = { $schema, title: 'The house file of Springhouse, version 1', ...rest };
  return `${JSON.stringify(schema, null, 2)}\n`;
}
