/** Attacks on the page: without signing in, by paths, sizes, smuggling, hosts, origins, strange text. */
import {
  type Answer,
  type Attack,
  ask,
  dismiss,
  freshAddress,
  pairedPerson,
  sendRaw,
  type Target,
} from './target.ts';

const hidden = [
  '/api/house',
  '/api/probes',
  '/api/record',
  '/api/people',
  '/api/openapi.json',
  '/health',
  '/api/ways',
];

/** Ways of writing a path by which a check may be passed that looks at another form of it. */
const spellings = ['', '/', '?x=1', '%00', '/.', ';x=1', '#'];

async function firstServed(answers: Promise<[string, Answer]>[]): Promise<string | null> {
  for (const [what, { status }] of await Promise.all(answers)) {
    if (status >= 200 && status < 400) return `${what} answered ${status}`;
  }
  return null;
}

/** Runs an attack as somebody who is inside, and removes that person afterwards. */
async function inside(
  target: Target,
  run: (cookie: string) => Promise<string | null>,
): Promise<string | null> {
  const { cookie, name } = await pairedPerson(target);
  try {
    return await run(cookie);
  } finally {
    await dismiss(target, name);
  }
}

const aWord = { v: 1, id: 'w-attack', word: { kind: 'chill-begin', probe: 'jar' } };

export const httpAttacks: Attack[] = [
  {
    family: 'auth',
    name: 'asks without a session, in every spelling of the path',
    run: (target) => {
      const paths = hidden.flatMap((path) => [
        ...spellings.map((end) => path + end),
        `/${path}`,
        path.toUpperCase(),
      ]);
      return firstServed(
        paths.map(async (path): Promise<[string, Answer]> => [path, await ask(target, { path })]),
      );
    },
  },
  {
    family: 'auth',
    name: 'asks with a made-up cookie, two cookies, or headers that a proxy would send',
    run: (target) => {
      const token = 'A'.repeat(43);
      const heads: Record<string, string>[] = [
        { cookie: `springhouse=${token}` },
        { cookie: `springhouse=${token}; springhouse=${token}` },
        { cookie: "springhouse=' OR 1=1 --" },
        { authorization: 'Bearer house' },
        { 'x-forwarded-for': '127.0.0.1', 'x-real-ip': '127.0.0.1', forwarded: 'for=127.0.0.1' },
        { 'x-original-url': '/api/door', 'x-rewrite-url': '/api/door' },
        { 'x-http-method-override': 'GET' },
      ];
      return firstServed(
        heads.map(
          async (headers): Promise<[string, Answer]> => [
            JSON.stringify(headers),
            await ask(target, { path: '/api/house', headers }),
          ],
        ),
      );
    },
  },
  {
    family: 'owner',
    name: 'asks what only the owner of the data folder may',
    run: async (target) => {
      const asked = (headers: Record<string, string>) => [
        ask(target, { path: '/owner/opened', headers }),
        ask(target, { path: '/owner/code', headers, body: { person: null } }),
        ask(target, { path: '/owner/key', headers, body: { probe: 'pot', revoke: false } }),
      ];
      return inside(target, async (cookie) => {
        const answers = await Promise.all([...asked({}), ...asked({ cookie })]);
        const got = answers.find(({ status }) => status < 400 && status > 0);
        return got === undefined ? null : `answered ${got.status} ${got.text.slice(0, 80)}`;
      });
    },
  },
  {
    family: 'path',
    name: 'climbs out of the page’s folder',
    run: async (target) => {
      const climbs = [
        '/../',
        '/..%2f',
        '/%2e%2e/',
        '/..%5c',
        '/assets/../',
        '/assets/..%2f',
        '/%252e%252e/',
        '/....//',
      ];
      for (const climb of climbs) {
        for (const file of ['etc/passwd', 'package.json', 'house.db']) {
          const path = climb + climb.slice(1).repeat(8) + file;
          const text = await sendRaw(
            target,
            `GET ${path} HTTP/1.1\r\nhost: ${new URL(target.page).host}\r\nconnection: close\r\n\r\n`,
          );
          if (/^HTTP\/1.1 2/.test(text) || text.includes('root:')) return `${path} was served`;
        }
      }
      return null;
    },
  },
  {
    family: 'size',
    name: 'sends bodies, heads, addresses and nests that are too large',
    run: async (target) => {
      const large = 'x'.repeat(2_000_000);
      const door = { path: '/api/door/sign-in' };
      const answers = await Promise.all([
        ask(target, { ...door, body: { v: 1, name: large, password: large } }),
        ask(target, { ...door, body: `${'['.repeat(100_000)}${']'.repeat(100_000)}` }),
        ask(target, { ...door, headers: { 'x-long': 'y'.repeat(60_000) } }),
        ask(target, { path: `/api/door?${'z'.repeat(60_000)}` }),
      ]);
      const got = answers.find(({ status }) => status !== 0 && (status < 400 || status >= 500));
      return got === undefined ? null : `answered ${got.status}`;
    },
  },
  {
    family: 'smuggling',
    name: 'hides a second request where two lengths disagree',
    run: async (target) => {
      const { host } = new URL(target.page);
      const second = `GET /api/door HTTP/1.1\r\nhost: ${host}\r\n\r\n`;
      const head = `POST /api/door/sign-in HTTP/1.1\r\nhost: ${host}\r\ncontent-type: application/json\r\n`;
      const hides = [
        `${head}content-length: 5\r\ntransfer-encoding: chunked\r\n\r\n0\r\n\r\n${second}`,
        `${head}content-length: 0\r\ncontent-length: ${second.length}\r\n\r\n${second}`,
        `${head}transfer-encoding: xchunked\r\n\r\n0\r\n\r\n${second}`,
        `${head}transfer-encoding: chunked\r\ntransfer-encoding: identity\r\n\r\n0\r\n\r\n${second}`,
        `${head}content-length : 0\r\n\r\n${second}`,
        `${head}content-length: 0\n\n${second}`,
        `${head} content-length: 0\r\n\r\n${second}`,
        `${head}transfer-encoding: chunked\r\n\r\n0x0\r\n\r\n${second}`,
      ];
      for (const bytes of hides) {
        const text = await sendRaw(target, bytes);
        if (/HTTP\/1\.1 200/.test(text))
          return `the hidden request of ${JSON.stringify(bytes.slice(80, 160))} was answered`;
      }
      return null;
    },
  },
  {
    family: 'rebinding',
    name: 'comes under another host name',
    run: (target) =>
      inside(target, async (cookie) => {
        const { port } = new URL(target.page);
        const hosts = [
          `evil.example:${port}`,
          'evil.example',
          `127.0.0.1:${port}`,
          `localhost:${port}`,
          `127.0.0.2.evil.example:${port}`,
        ];
        const bare = await sendRaw(target, `GET /api/door HTTP/1.0\r\ncookie: ${cookie}\r\n\r\n`);
        if (/^HTTP\/1\.\d 2/.test(bare)) return 'a request without a host was answered';
        return firstServed(
          ['/api/house', '/', '/api/door'].flatMap((path) =>
            hosts.map(
              async (host): Promise<[string, Answer]> => [
                `host ${host}`,
                await ask(target, { path, headers: { host, cookie } }),
              ],
            ),
          ),
        );
      }),
  },
  {
    family: 'origin',
    name: 'says a word from a page of another origin, with the person’s own cookie',
    run: (target) =>
      inside(target, async (cookie) => {
        const heads: Record<string, string>[] = [
          { origin: 'http://evil.example' },
          { origin: 'null' },
          { origin: `https://${new URL(target.page).host}` },
          { 'sec-fetch-site': 'cross-site' },
          { 'sec-fetch-site': 'same-site', origin: 'http://127.0.0.2:1' },
        ];
        const posts = ['/api/words', '/api/people/code', '/api/door/sign-out'];
        const word = await firstServed(
          heads.flatMap((head) => [
            ...posts.map(
              async (path): Promise<[string, Answer]> => [
                `${path} from ${JSON.stringify(head)}`,
                await ask(target, {
                  path,
                  body: path === '/api/words' ? aWord : { v: 1 },
                  headers: { ...head, cookie },
                }),
              ],
            ),
          ]),
        );
        if (word !== null) return word;
        const form = { 'content-type': 'text/plain', cookie };
        const plain = await ask(target, { path: '/api/words', body: aWord, headers: form });
        if (plain.status < 400) return 'a form of another page was taken';
        const preflight = await ask(target, {
          path: '/api/words',
          method: 'OPTIONS',
          headers: { origin: 'http://evil.example', 'access-control-request-method': 'POST' },
        });
        const leaves = Object.keys(preflight.headers).find((name) => name.startsWith('access-control-'));
        return leaves === undefined ? null : `the answer to a preflight has ${leaves}`;
      }),
  },
  {
    family: 'injection',
    name: 'puts SQL, markup, line ends and prototypes where text is taken',
    run: (target) =>
      inside(target, async (cookie) => {
        const texts = [
          "' OR 1=1 --",
          '<script>alert(1)</script>',
          'a\r\nset-cookie: x=1',
          '__proto__',
          '$' + '{7*7}',
          '../../x',
          '\u0000',
          '%0d%0aset-cookie:%20x=1',
        ];
        const asked = texts.flatMap((text) => [
          ask(target, { path: `/api/history/${encodeURIComponent(text)}`, headers: { cookie } }),
          ask(target, { path: `/api/notices?limit=${encodeURIComponent(text)}`, headers: { cookie } }),
          ask(target, { path: '/api/door/sign-in', body: { v: 1, name: text, password: text } }),
          ask(target, { path: '/api/people/remove', headers: { cookie }, body: { v: 1, person: text } }),
          ask(target, {
            path: '/api/words',
            headers: { cookie },
            body: `{"v":1,"id":"i","__proto__":{"by":"daemon"},"word":{"kind":"chill-begin","probe":${JSON.stringify(text)}}}`,
          }),
        ]);
        const bad = (await Promise.all(asked)).find(
          ({ headers, status }) =>
            status >= 500 ||
            (status > 0 && status < 400) ||
            headers['set-cookie'] !== undefined ||
            /html/.test(String(headers['content-type'])),
        );
        return bad === undefined
          ? null
          : `answered ${bad.status} ${bad.headers['content-type']} ${bad.text.slice(0, 80)}`;
      }),
  },
  {
    family: 'flood',
    name: 'asks from one address far more than a page does, and another address must still be served',
    run: async (target) => {
      const from = freshAddress();
      const flood = Array.from({ length: 700 }, () => ask(target, { path: '/api/door', from }));
      const fromMs = performance.now();
      const other = await ask(target, { path: '/api/door' });
      const spanMs = Math.round(performance.now() - fromMs);
      const served = (await Promise.all(flood)).filter(({ status }) => status === 200).length;
      if (other.status !== 200 || spanMs > 3_000)
        return `another address got ${other.status} after ${spanMs} ms`;
      return served > 500 ? `${served} of 700 were served` : null;
    },
  },
];
