import { describe, expect, test } from 'vitest';
import { chill, dawnMs, houseInMemory, injected, jar, stranger, well } from './house-in-memory.ts';

const word = { v: 1, id: 'tap-00000001', word: { kind: 'milking-ended', probe: 'jar', atMs: dawnMs } };

describe('reading the house over HTTP', () => {
  test('gives house, probes, watches and one watch', async () => {
    const { desk } = houseInMemory();
    const app = await injected(desk);
    const read = async (url: string) => (await app.inject(url)).json();
    expect(await read('/api/house')).toEqual(desk.house());
    expect(await read('/api/probes')).toEqual({ v: 1, probes: [jar], refusals: [stranger] });
    expect(await read('/api/watches')).toEqual({ v: 1, watches: [chill] });
    expect(await read('/api/watches/chill-jar-17')).toEqual(chill);
  });

  test('gives a plan of what is asked, from 36 °C unless told, and refuses what is no amount', async () => {
    const app = await injected(houseInMemory().desk);
    const given = await app.inject('/api/plan?volume=0.95');
    expect(given.json().asked).toEqual({
      volumeL: 0.95,
      material: null,
      fromC: 36,
      limitC: 40 / 9,
      marginC: 0.5,
      spanMin: 60,
    });
    const refused = await app.inject('/api/plan?volume=much&material=clay');
    expect([refused.statusCode, refused.json().code]).toEqual([400, 'HTTP_QUERY']);
  });

  test('refuses a watch that is not there', async () => {
    const app = await injected(houseInMemory().desk);
    const answer = await app.inject('/api/watches/chill-jar-18');
    expect([answer.statusCode, answer.json()]).toEqual([
      404,
      {
        v: 1,
        code: 'WATCH_UNKNOWN',
        message:
          'The watch "chill-jar-18" must be one of this house, got none of that id. Look at /api/watches.',
      },
    ]);
  });

  test.each([
    ['?from=2026-05-04T05:00:00Z&to=2026-05-04T06:00:00Z&points=60', dawnMs - 3_600_000, dawnMs, 60],
    [
      '?from=2026-05-04T07:00:00%2B02:00&to=2026-05-04T06:00:00.000Z&points=60',
      dawnMs - 3_600_000,
      dawnMs,
      60,
    ],
    [`?from=${dawnMs - 1000}&to=${dawnMs}&points=1`, dawnMs - 1000, dawnMs, 1],
    ['', dawnMs - 6 * 3_600_000, dawnMs, 600],
    [`?to=${dawnMs - 1000}`, dawnMs - 1000 - 6 * 3_600_000, dawnMs - 1000, 600],
    ['?snap=hour', dawnMs - 6 * 3_600_000, dawnMs, 600],
    ['?points=2000&unheard=of', dawnMs - 6 * 3_600_000, dawnMs, 2000],
  ])('gives history for "%s"', async (query, fromMs, toMs, points) => {
    const { desk } = houseInMemory();
    const app = await injected(desk);
    const answer = await app.inject(`/api/history/jar${query}`);
    const snap = query.includes('snap=hour') ? 'hour' : 'none';
    const held = await desk.history({ probe: 'jar', fromMs, toMs, points, snap });
    expect(answer.json()).toEqual({ v: 1, probe: 'jar', fromMs, toMs, ...held });
  });

  const instantRule =
    'an instant as RFC 3339 with its offset ("2026-05-04T06:12:00Z"; write + as %2B) or in epoch ms';
  test.each([
    ['points=0', '"points" must be a whole number from 1 to 2000, got "0".'],
    ['points=2001', '"points" must be a whole number from 1 to 2000, got "2001".'],
    ['snap=week', '"snap" must be none, minute, hour or day, got "week".'],
    ['points=1e3', '"points" must be a whole number from 1 to 2000, got "1e3".'],
    ['points=', '"points" must be a whole number from 1 to 2000, got "".'],
    ['from=yesterday', `"from" must be ${instantRule}, got "yesterday".`],
    ['from=2026-05-04T06:12:00', `"from" must be ${instantRule}, got "2026-05-04T06:12:00".`],
    ['to=2026-05-04T07:00:00+02:00', `"to" must be ${instantRule}, got "2026-05-04T07:00:00 02:00".`],
    ['to=-5', `"to" must be ${instantRule}, got "-5".`],
    ['to=9999999999999999', `"to" must be ${instantRule}, got "9999999999999999".`],
    ['to=1&to=2', `"to" must be ${instantRule}, got ["1","2"].`],
    [`from=${dawnMs}&to=${dawnMs}`, `"from" must be an instant before "to", got ${dawnMs}.`],
    ['from=0&to=4102444800000', '"from" must be at most 36600 days before "to", got 0.'],
  ])('refuses history for "%s"', async (query, text) => {
    const app = await injected(houseInMemory().desk);
    const answer = await app.inject(`/api/history/jar?${query}`);
    expect([answer.statusCode, answer.json().code]).toEqual([400, 'HTTP_QUERY']);
    expect(answer.json().message).toContain(`The parameter ${text} `);
  });

  test.each(['ladle', '__proto__', 'constructor', '..%2F..%2Fetc'])(
    'refuses history of the unknown probe %s',
    async (probe) => {
      const app = await injected(houseInMemory().desk);
      const answer = await app.inject(`/api/history/${probe}`);
      expect([answer.statusCode, answer.json().code]).toEqual([404, 'PROBE_UNKNOWN']);
    },
  );

  test('gives notices, newest first, on from a seq', async () => {
    const { desk } = houseInMemory();
    const app = await injected(desk);
    const seqs = async (query: string) =>
      (await app.inject(`/api/notices${query}`))
        .json()
        .notices.map((n: { recordSeq: number }) => n.recordSeq);
    expect((await app.inject('/api/notices')).json()).toEqual({
      v: 1,
      notices: await desk.notices({ limit: 3 }),
    });
    expect(await seqs('?limit=2')).toEqual([3, 2]);
    expect(await seqs('?limit=2&before=2')).toEqual([1]);
    expect((await app.inject('/api/notices?limit=201')).json().code).toBe('HTTP_QUERY');
    expect((await app.inject('/api/notices?before=0')).json().code).toBe('HTTP_QUERY');
  });

  test('gives the record exactly as kept, page by page', async () => {
    const { desk, happen, record } = houseInMemory();
    for (let i = 0; i < 5; i += 1) happen();
    Object.assign(record[1] ?? {}, { addedLater: 'by a later release' });
    const app = await injected(desk);
    expect((await app.inject('/api/record?after=1&limit=2')).json()).toEqual({
      v: 1,
      recordSeq: 5,
      events: record.slice(1, 3),
    });
    expect((await app.inject('/api/record')).json().events).toEqual(record);
    expect((await app.inject('/api/record?limit=1001')).json().code).toBe('HTTP_QUERY');
    expect((await app.inject('/api/record?after=-1')).json().code).toBe('HTTP_QUERY');
  });

  test('answers health with 200 while readings can be kept and 503 while not', async () => {
    const { desk, switches } = houseInMemory();
    const app = await injected(desk);
    const good = await app.inject('/health');
    expect([good.statusCode, good.json()]).toEqual([200, well]);
    switches.health = { ...well, ok: false, faults: ['DISK_FULL: the disk must have room, got none.'] };
    const bad = await app.inject('/health');
    expect([bad.statusCode, bad.json()]).toEqual([503, switches.health]);
  });
});

describe('saying a word over HTTP', () => {
  const post = async (payload: unknown, headers = {}) => {
    const app = await injected(houseInMemory().desk);
    const body = typeof payload === 'string' ? payload : JSON.stringify(payload);
    const all = { 'content-type': 'application/json', ...headers };
    const answer = await app.inject({ method: 'POST', url: '/api/words', headers: all, payload: body });
    return [answer.statusCode, answer.json()];
  };

  test('answers with the number of the input, and says when a tap is a repeat', async () => {
    const app = await injected(houseInMemory().desk);
    const tap = async () => (await app.inject({ method: 'POST', url: '/api/words', payload: word })).json();
    expect(await tap()).toEqual({ v: 1, inputSeq: 1, already: false });
    expect(await tap()).toEqual({ v: 1, inputSeq: 1, already: true });
  });

  test.each([
    [
      { ...word, word: { kind: 'moved', probe: 'jar', place: 'moon' } },
      404,
      'WORD_PLACE',
      'The place must be known, got moon.',
    ],
    [
      { ...word, word: { kind: 'watch-end', watch: 'chill-jar-17' } },
      422,
      'WORD_ENDED',
      'The watch must be open, got ended.',
    ],
    [
      { ...word, word: { kind: 'vessel-told', probe: 'jar' } },
      503,
      'DISK_FULL',
      'The disk must have room, got none.',
    ],
  ])('passes on why the house refuses', async (payload, status, code, message) => {
    expect(await post(payload)).toEqual([status, { v: 1, code, message }]);
  });

  test.each([
    ['no JSON', '{"v":1,', 'HTTP_BODY', 400],
    ['nothing', '', 'HTTP_BODY', 400],
    ['no object', '[]', 'HTTP_BODY', 400],
    ['an unknown kind', { ...word, word: { kind: 'sing' } }, 'HTTP_BODY', 400],
    ['an unknown field', { ...word, also: 1 }, 'HTTP_BODY', 400],
    ['an id that is too short', { ...word, id: 'tap' }, 'HTTP_BODY', 400],
    ['another version', { ...word, v: 2 }, 'HTTP_BODY', 400],
    ['a prototype', '{"__proto__":{"v":1}}', 'HTTP_BODY', 400],
    ['5 kB', { ...word, pad: 'x'.repeat(5_000) }, 'HTTP_LONG', 413],
  ])('refuses %s', async (_what, payload, code, status) => {
    const [got, body] = await post(payload);
    expect([got, body.code, Object.keys(body)]).toEqual([status, code, ['v', 'code', 'message']]);
  });

  test('says which field of a word is wrong', async () => {
    expect(await post({ ...word, word: { ...word.word, atMs: 1.5 } })).toEqual([
      400,
      {
        v: 1,
        code: 'HTTP_BODY',
        message:
          'What is posted must fit its schema, got at body.word.atMs: Invalid input: expected int, received number. See PostedWord in /api/openapi.json.',
      },
    ]);
  });

  test.each([
    ['a form', { 'content-type': 'text/plain' }, 415, 'HTTP_TYPE'],
    ['another page', { origin: 'https://larkfell.example' }, 403, 'HTTP_ORIGIN'],
    ['another name', { host: 'larkfell.example' }, 421, 'HTTP_HOST'],
  ])('refuses %s before it reads the body', async (_who, headers, status, code) => {
    const [got, body] = await post(word, headers);
    expect([got, body.code]).toEqual([status, code]);
  });
});

describe('answers over HTTP', () => {
  test('carry the same safe headers whether taken or refused, and none that lets others in', async () => {
    const app = await injected(houseInMemory().desk);
    for (const url of ['/api/house', '/api/nothing', '/api/history/ladle', '/api/record?limit=x', '/%zz']) {
      const { headers } = await app.inject({ url, headers: { origin: 'https://larkfell.example' } });
      expect(headers).toMatchObject({
        'content-security-policy': expect.stringMatching(/^default-src 'self'; .*frame-ancestors 'none'$/),
        'x-content-type-options': 'nosniff',
        'referrer-policy': 'no-referrer',
        'cross-origin-resource-policy': 'same-origin',
        'cache-control': 'no-store',
      });
      expect(Object.keys(headers).filter((name) => name.startsWith('access-control'))).toEqual([]);
    }
  });

  test.each([
    ['GET', '/api/nothing', 404, 'HTTP_PATH'],
    ['POST', '/api/house', 404, 'HTTP_PATH'],
    ['GET', '/%zz', 404, 'HTTP_PATH'],
    ['GET', `/api/watches/${'x'.repeat(200)}`, 404, 'HTTP_PATH'],
    ['OPTIONS', '/api/words', 404, 'HTTP_PATH'],
  ] as const)('refuse %s %s', async (method, url, status, code) => {
    const app = await injected(houseInMemory().desk);
    const answer = await app.inject({ method, url, headers: { 'content-type': 'application/json' } });
    expect([answer.statusCode, answer.json().code, answer.json().v]).toEqual([status, code, 1]);
  });

  test('tell nothing of a failure of the house but that it was one, and report it', async () => {
    const { desk, switches } = houseInMemory();
    const bugs: string[] = [];
    const app = await injected(desk, { onBug: (error) => bugs.push((error as Error).message) });
    switches.recordGone = true;
    const answer = await app.inject('/api/record');
    expect([answer.statusCode, answer.json()]).toEqual([
      500,
      {
        v: 1,
        code: 'HTTP_BUG',
        message: 'The house must answer this, got a failure of its own. Try again; its log says more.',
      },
    ]);
    expect(bugs).toEqual(['the reader is gone']);
  });

  test('fail rather than break the contract', async () => {
    const { desk } = houseInMemory();
    const bugs: unknown[] = [];
    const broken = { ...desk, probes: () => [{ ...jar, state: 'lost' as never }] };
    const app = await injected(broken, { onBug: (error) => bugs.push(error) });
    expect((await app.inject('/api/probes')).json().code).toBe('HTTP_BUG');
    expect(bugs).toHaveLength(1);
  });
});
