/** `npm run docs`: writes the generated pages beside this file. A test fails where they have drifted. */

import { writeFile } from 'node:fs/promises';
import { generatedPages } from './pages.ts';

for (const [name, text] of Object.entries(generatedPages())) {
  await writeFile(new URL(name, import.meta.url), text);
  process.stdout.write(`wrote deploy/docs/${name}\n`);
}
