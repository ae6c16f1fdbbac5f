import { describe, expect, test } from 'vitest';
import { houseInMemory, injected } from './house-in-memory.ts';

type Operation = {
  operationId: string;
  summary: string;
  parameters?: { name: string; in: string; schema: object; description?: string }[];
  requestBody?: { content: Record<string, { schema: object }> };
  responses: Record<string, { description: string; content?: Record<string, { schema: object }> }>;
};
type Document = {
  openapi: string;
  info: { title: string; version: string };
  paths: Record<string, Record<string, Operation>>;
  components: { schemas: Record<string, object> };
};

async function documentOf(): Promise<Document> {
  const app = await injected(houseInMemory().desk);
  return (await app.inject('/api/openapi.json')).json();
}

function operationsOf(document: Document) {
  return Object.entries(document.paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({ name: `${method} ${path}`, operation })),
  );
}

function refsIn(value: unknown): string[] {
  if (value === null || typeof value !== 'object') return [];
  return Object.entries(value).flatMap(([key, inner]) =>
    key === '$ref' && typeof inner === 'string' ? [inner] : refsIn(inner),
  );
}

describe('the OpenAPI document', () => {
  test('holds every route', async () => {
    expect(
      operationsOf(await documentOf())
        .map(({ name }) => name)
        .sort(),
    ).toEqual([
      'get /api/door',
      'get /api/history/{probe}',
      'get /api/history/{probe}/export',
      'get /api/history/{probe}/kept',
      'get /api/history/{probe}/late',
      'get /api/house',
      'get /api/letters',
      'get /api/live',
      'get /api/matters',
      'get /api/notices',
      'get /api/openapi.json',
      'get /api/plan',
      'get /api/probes',
      'get /api/record',
      'get /api/watches',
      'get /api/watches/{id}',
      'get /api/ways',
      'get /health',
      'post /api/letters/heard',
      'post /api/ways/{id}/test',
      'post /api/words',
    ]);
  });

  test('has the shape of version 3.1', async () => {
    const document = await documentOf();
    expect(document.openapi).toMatch(/^3\.1\.\d$/);
    expect(document.info).toMatchObject({ title: 'Springhouse', version: '0.1.0' });
    expect(Object.keys(document.components.schemas)).toEqual(
      expect.arrayContaining(['House', 'Probe', 'Watch']),
    );
    const ids = operationsOf(document).map(({ operation }) => operation.operationId);
    expect(new Set(ids).size).toBe(ids.length);
  });

  test('gives each route a schema of its answer, and each parameter in the path a place', async () => {
    for (const { name, operation } of operationsOf(await documentOf())) {
      const content = Object.values(operation.responses['200']?.content ?? {});
      expect([name, content.length, content.every(({ schema }) => Object.keys(schema).length > 0)]).toEqual([
        name,
        1,
        true,
      ]);
      const described = Object.values(operation.responses).every(
        ({ description }) => typeof description === 'string',
      );
      expect([name, described]).toEqual([name, true]);
      const inPath = (operation.parameters ?? []).filter((parameter) => parameter.in === 'path');
      expect([name, inPath.map((parameter) => `{${parameter.name}}`)]).toEqual([
        name,
        name.match(/\{\w+\}/g) ?? [],
      ]);
    }
  });

  test('points only at components that are there', async () => {
    const document = await documentOf();
    const refs = [...new Set(refsIn(document))];
    expect(refs.length).toBeGreaterThan(5);
    expect(
      refs.filter((ref) => !document.components.schemas[ref.replace('#/components/schemas/', '')]),
    ).toEqual([]);
  });

  test('describes the posted word and the bounds of a query', async () => {
    const { paths } = await documentOf();
    expect(Object.keys(paths['/api/words']?.post?.requestBody?.content ?? {})).toEqual(['application/json']);
    const points = paths['/api/history/{probe}']?.get?.parameters?.find(({ name }) => name === 'points');
    expect(JSON.stringify(points)).toContain('a whole number from 1 to 2000');
  });
});
