import { describe, expect, test } from 'vitest';
import { createToken, isToken } from '../../../../electron/loopback/access-token.ts';
import { cookieName, judgeRequest } from '../../../../electron/loopback/request-gate.ts';
import type { GateRequest } from '../../../../electron/loopback/request-gate.ts';

const PORT = 4321;
const token = createToken();
const options = () => ({ port: PORT, token, entries: new Set(['once']) });
const HOST = `127.0.0.1:${PORT}`;
const ORIGIN = `http://${HOST}`;
const cookie = `${cookieName(PORT)}=${token}`;

function judge(request: Partial<GateRequest> & { headers?: GateRequest['headers'] }) {
  return judgeRequest({ method: 'GET', target: '/', ...request, headers: { host: HOST, ...request.headers } }, options());
}

describe('the gate lets in', () => {
  test('the first visit with the token in the address, and hands out a cookie no script can read', () => {
    const verdict = judge({ target: `/?token=${token}` });
    expect(verdict.kind).toBe('admit');
    if (verdict.kind === 'admit') expect(verdict.cookie).toBe(`${cookie}; Path=/; HttpOnly; SameSite=Strict`);
  });

  test('an entry once, and never again', () => {
    const gate = options();
    const request = { method: 'GET', target: '/?entry=once', headers: { host: HOST } };
    expect(judgeRequest(request, gate).kind).toBe('admit');
    expect(judgeRequest(request, gate).kind).toBe('refuse');
  });

  test('requests of our page by cookie, and scripts of the user by header', () => {
    expect(judge({ target: '/assets/a.js', headers: { cookie } })).toMatchObject({ kind: 'pass', path: '/assets/a.js' });
    expect(judge({ method: 'POST', target: '/api/listCases', headers: { cookie: `other=1; ${cookie}`, origin: ORIGIN, 'sec-fetch-site': 'same-origin' } }).kind).toBe('pass');
    expect(judge({ method: 'POST', target: '/api/listCases', headers: { 'x-lacuna-token': token, origin: ORIGIN } }).kind).toBe('pass');
  });
});

describe('the gate refuses', () => {
  test.each([
    ['no token at all', {}],
    ['a wrong token in the address', { target: '/?token=guess' }],
    ['an empty token', { target: '/?token=' }],
    ['an unknown entry', { target: '/?entry=twice' }],
    ['a token in the address of anything but the page', { target: `/api/listCases?token=${token}` }],
    ['a wrong cookie', { headers: { cookie: `${cookieName(PORT)}=guess` } }],
    ['the cookie of a program on another port', { headers: { cookie: `${cookieName(PORT + 1)}=${token}` } }],
    ['a right cookie beside a wrong header', { headers: { cookie, 'x-lacuna-token': 'guess' } }],
    ['a token that only begins right', { headers: { cookie: cookie.slice(0, -1) } }],
    ['a token with something behind it', { headers: { cookie: `${cookie}x` } }],
  ])('%s', (_name, request) => {
    expect(judge(request)).toMatchObject({ kind: 'refuse', status: 403 });
  });

  // A page of another site can have a name of its own point to 127.0.0.1 (DNS rebinding); the Host header gives it away.
  test.each([undefined, '', 'localhost:4321', '127.0.0.1', '127.0.0.1:4322', '127.0.0.1:43210', 'evil.example:4321', '127.0.0.1:4321.evil.example', '127.0.0.1:4321@evil.example', '[::1]:4321', ' 127.0.0.1:4321'])(
    'the Host %j even with the right token',
    (host) => {
      expect(judge({ target: '/', headers: { host, cookie } as GateRequest['headers'] })).toMatchObject({ kind: 'refuse', status: 421 });
      expect(judge({ target: `/?token=${token}`, headers: { host } as GateRequest['headers'] }).kind).toBe('refuse');
    },
  );

  test.each(['null', 'http://evil.example', 'https://127.0.0.1:4321', 'http://127.0.0.1:4322', 'http://127.0.0.1:4321.evil.example', 'http://localhost:4321', `${ORIGIN}/`, ''])(
    'the Origin %j even with the right token',
    (origin) => {
      for (const method of ['GET', 'POST', 'PUT']) expect(judge({ method, target: '/api/listCases', headers: { origin, cookie } })).toMatchObject({ kind: 'refuse', status: 403 });
    },
  );

  test('what changes something and does not say where it comes from', () => {
    for (const method of ['POST', 'PUT']) expect(judge({ method, target: '/api/listCases', headers: { cookie } })).toMatchObject({ kind: 'refuse', status: 403 });
  });

  test.each(['cross-site', 'same-site'])('a request that the browser marks as %s', (site) => {
    expect(judge({ target: '/bytes/case/00', headers: { cookie, 'sec-fetch-site': site } })).toMatchObject({ kind: 'refuse', status: 403 });
  });

  test.each(['DELETE', 'OPTIONS', 'HEAD', 'CONNECT', 'TRACE', 'PATCH', 'get'])('the method %s', (method) => {
    expect(judge({ method, headers: { cookie, origin: ORIGIN } })).toMatchObject({ kind: 'refuse', status: 405 });
  });

  test.each(['http://evil.example/', '//evil.example/', '*', ''])('the target %j', (target) => {
    expect(judge({ target, headers: { cookie } })).toMatchObject({ kind: 'refuse' });
  });
});

test('tokens are long, different and compared whole', () => {
  const tokens = new Set(Array.from({ length: 100 }, createToken));
  expect(tokens.size).toBe(100);
  for (const one of tokens) expect(one).toMatch(/^[\w-]{43}$/);
  expect(isToken(token, token)).toBe(true);
  expect(isToken(token.slice(1), token)).toBe(false);
  expect(isToken('', token)).toBe(false);
});
