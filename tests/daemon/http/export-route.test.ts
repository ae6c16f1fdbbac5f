import { describe, expect, it } from 'vitest';
import { exportsMax } from '../../../daemon/http/limits.ts';
import { openHttp } from '../../../daemon/http/server.ts';
import { until } from '../open-test-house.ts';
import { dawnMs, houseInMemory, injected } from './house-in-memory.ts';

describe('readings as a file over HTTP', () => {
  it('come with a name and their kind, over the span asked for', async () => {
    const app = await injected(houseInMemory().desk);
    const answer = await app.inject(`/api/history/jar/export?form=csv&from=${dawnMs - 1000}&to=${dawnMs}`);
    expect([answer.statusCode, answer.body]).toEqual([200, `csv ${dawnMs - 1000} ${dawnMs}\n`.repeat(2)]);
    expect(answer.headers).toMatchObject({
      'content-type': 'text/csv',
      'content-disposition': 'attachment; filename="jar.csv"',
    });
    const usual = await app.inject('/api/history/jar/export?form=lp');
    expect(usual.body).toContain(`lp 0 ${dawnMs}`);
  });

  it.each([
    ['/api/history/churn/export', 404, 'PROBE_UNKNOWN'],
    ['/api/history/churn/kept', 404, 'PROBE_UNKNOWN'],
    ['/api/history/jar/export?form=xls', 400, 'HTTP_QUERY'],
    ['/api/history/jar/export?from=2000&to=1000', 400, 'HTTP_QUERY'],
    ['/api/notices?from=2000&to=1000', 400, 'HTTP_QUERY'],
  ])('are refused for %s', async (path, status, code) => {
    const app = await injected(houseInMemory().desk);
    const answer = await app.inject(path);
    expect([answer.statusCode, answer.json().code]).toEqual([status, code]);
  });

  it('are let out a few at a time, and end when nobody reads them', async () => {
    const { desk, switches } = houseInMemory();
    switches.endlessFile = true;
    const server = await openHttp({
      desk,
      host: '127.0.0.1',
      port: 0,
      pageFolder: 'nowhere',
      release: 'test',
      onBug: () => {},
    });
    const path = `${server.url}/api/history/jar/export`;
    const leaving = Array.from({ length: exportsMax }, () => new AbortController());
    const open = await Promise.all(leaving.map(({ signal }) => fetch(path, { signal })));
    expect(open.map(({ status }) => status)).toEqual([200, 200]);
    const refused = await fetch(path);
    expect([refused.status, ((await refused.json()) as { code: string }).code]).toEqual([503, 'EXPORT_FULL']);
    for (const each of leaving) each.abort();
    switches.endlessFile = false;
    expect(
      await until(
        async () => (await fetch(path)).status,
        (status) => status === 200,
      ),
    ).toBe(200);
    await server.close();
  });

  it('say from when to when a probe has any, and give the notices of a span', async () => {
    const app = await injected(houseInMemory().desk);
    expect((await app.inject('/api/history/jar/kept')).json()).toEqual({
      v: 1,
      probe: 'jar',
      firstMs: dawnMs - 60_000,
      lastMs: dawnMs,
    });
    expect((await app.inject(`/api/history/jar/late?from=${dawnMs - 9}`)).json()).toEqual({
      v: 1,
      probe: 'jar',
      fromMs: dawnMs - 9,
      toMs: dawnMs,
      stretches: [{ fromMs: dawnMs - 9, toMs: dawnMs - 8, count: 1 }],
    });
    const count = async (query: string) => (await app.inject(`/api/notices?${query}`)).json().notices.length;
    expect(await count(`from=${dawnMs}&to=${dawnMs + 1}`)).toBe(3);
    expect(await count(`from=${dawnMs - 9}&to=${dawnMs}`)).toBe(0);
  });
});
