import { describe, expect, test } from 'vitest';
import { loopbackDoor } from '../../../daemon/http/door.ts';
import { guardRequest } from '../../../daemon/http/guard.ts';

const json = { 'content-type': 'application/json' };

function code(method: string, headers: Record<string, string>, isFeed = false, port = 7373): string | null {
  return guardRequest({ method, isFeed, headers }, loopbackDoor(port))?.code ?? null;
}

describe('the guard of requests', () => {
  test.each(['127.0.0.1:7373', 'localhost:7373', 'LocalHost:7373', '[::1]:7373'])(
    'lets in the host %s',
    (host) => {
      expect(code('GET', { host })).toBe(null);
    },
  );

  test.each([
    'larkfell.example:7373',
    'larkfell.example',
    '127.0.0.1',
    '127.0.0.1:80',
    '127.0.0.1:7373.larkfell.example',
    'localhost.larkfell.example:7373',
    '192.168.1.4:7373',
    '0.0.0.0:7373',
    '',
  ])('turns away the host "%s"', (host) => {
    expect(code('GET', { host })).toBe('HTTP_HOST');
  });

  test('turns away a request without a host', () => {
    expect(guardRequest({ method: 'GET', isFeed: false, headers: {} }, loopbackDoor(7373))).toEqual({
      code: 'HTTP_HOST',
      message:
        'The Host header must be 127.0.0.1:7373 or localhost:7373 or [::1]:7373, got none. Open the address that the house printed.',
    });
  });

  test('lets in a host without a port on port 80 only', () => {
    expect(code('GET', { host: 'localhost' }, false, 80)).toBe(null);
    expect(code('GET', { host: 'localhost:80' }, false, 80)).toBe(null);
  });

  const host = 'localhost:7373';

  test.each([
    ['its own page', { origin: 'http://localhost:7373' }],
    ['a program without a page', {}],
    [
      'its own page, marked by the browser',
      { origin: 'http://localhost:7373', 'sec-fetch-site': 'same-origin' },
    ],
  ])('lets %s post and read the feed', (_who, headers) => {
    expect(code('POST', { host, ...json, ...headers })).toBe(null);
    expect(code('GET', { host, ...headers }, true)).toBe(null);
  });

  test.each([
    ['another page', { origin: 'https://larkfell.example' }],
    ['another port', { origin: 'http://localhost:8080' }],
    ['another name of this machine', { origin: 'http://127.0.0.1:7373' }],
    ['another scheme', { origin: 'https://localhost:7373' }],
    ['a page without an origin', { origin: 'null' }],
    ['a picture on another page', { 'sec-fetch-site': 'cross-site' }],
    ['a page of a neighbour name', { 'sec-fetch-site': 'same-site' }],
  ])('does not let %s post or read the feed', (_who, headers) => {
    expect(code('POST', { host, ...json, ...headers })).toBe('HTTP_ORIGIN');
    expect(code('GET', { host, ...headers }, true)).toBe('HTTP_ORIGIN');
  });

  test.each([
    'application/json',
    'Application/JSON',
    'application/json; charset=utf-8',
    'application/json;charset=UTF-8',
  ])('takes the content type %s', (type) => expect(code('POST', { host, 'content-type': type })).toBe(null));

  test.each([
    'text/plain',
    'application/x-www-form-urlencoded',
    'multipart/form-data; boundary=x',
    'application/jsonp',
    'text/plain; application/json',
    'application/json; charset=utf-16',
    '',
  ])('refuses the content type "%s"', (type) => {
    expect(code('POST', { host, 'content-type': type })).toBe('HTTP_TYPE');
  });

  test('refuses a post without a content type', () => {
    expect(guardRequest({ method: 'DELETE', isFeed: false, headers: { host } }, loopbackDoor(7373))).toEqual({
      code: 'HTTP_TYPE',
      message: 'The content type must be application/json, got none. Send it with that header.',
    });
  });
});
