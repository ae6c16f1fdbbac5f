import { readFileSync } from 'node:fs';
import Fastify from 'fastify';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { demoHouseText } from '../../daemon/config/demo-house.ts';
import { generatedPages } from '../../deploy/docs/pages.ts';
import { faults } from '../../shared/contract/faults.ts';

const onDisk = (name: string) => readFileSync(new URL(`../../deploy/${name}`, import.meta.url), 'utf8');

describe('the generated pages', () => {
  it.each(Object.entries(generatedPages()))(
    'hold deploy/docs/%s equal to the code (npm run docs writes it)',
    (name, text) => {
      expect(onDisk(`docs/${name}`)).toBe(text);
    },
  );

  it('list every code of the catalogue once, and no other', () => {
    const listed = [...onDisk('docs/faults.md').matchAll(/^\| `([A-Z_]+)` +\|/gm)].map(([, code]) => code);
    expect(listed).toEqual(Object.keys(faults));
  });
});

describe('the published schema', () => {
  /** Judges by the schema as an editor would, through the validator that the HTTP server uses. */
  async function judge(houses: readonly unknown[]): Promise<number[]> {
    const app = Fastify({
      ajv: { customOptions: { coerceTypes: false, removeAdditional: false, strict: false } },
    });
    const schema = JSON.parse(onDisk('docs/springhouse.schema.json'));
    app.post('/', { schema: { body: schema } }, () => 'in order');
    const answers = [];
    for (const house of houses) {
      const payload = JSON.stringify(house);
      const headers = { 'content-type': 'application/json' };
      answers.push((await app.inject({ method: 'POST', url: '/', headers, payload })).statusCode);
    }
    await app.close();
    return answers;
  }

  it('takes the example and the demo, and refuses what the house refuses', async () => {
    const example = parse(onDisk('springhouse.example.yaml'));
    expect(
      await judge([
        example,
        parse(demoHouseText),
        { ...example, version: 2 },
        { ...example, colour: 'blue' },
        { ...example, chill: { limit: 40 } },
        { ...example, places: [{ id: 'shed', kind: 'shed' }] },
        { ...example, sources: [{ id: 'bench', kind: 'serial', path: '/dev/ttyUSB0', baudRate: 1.5 }] },
        { ...example, probes: Array.from({ length: 257 }, (_, index) => ({ id: `p${index}` })) },
      ]),
    ).toEqual([200, 200, 400, 400, 400, 400, 400, 400]);
  });
});
