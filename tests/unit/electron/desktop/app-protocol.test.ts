import { mkdtemp, mkdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { PAGE_SCHEME, answerPageRequest, mayRequest } from '../../../../electron/desktop/app-protocol.ts';
import { PAGE_POLICY, listPageFiles } from '../../../../electron/host/page-files.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-page-'));
  await mkdir(join(folder, 'page/assets'), { recursive: true });
  await writeFile(join(folder, 'page/index.html'), '<!doctype html>');
  await writeFile(join(folder, 'page/assets/a.js'), 'export {}');
  await writeFile(join(folder, 'page/assets/a.js.map'), '{}');
  await writeFile(join(folder, 'secret.js'), 'secret');
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const get = async (url: string, method = 'GET') => answerPageRequest({ url, method }, await listPageFiles(join(folder, 'page')));

test('the page and its files are served with the policy', async () => {
  const page = await get('lacuna://page/');
  expect(page.status).toBe(200);
  expect(page.headers.get('content-type')).toBe('text/html; charset=utf-8');
  expect(page.headers.get('content-security-policy')).toBe(PAGE_POLICY);
  expect(page.headers.get('x-content-type-options')).toBe('nosniff');
  expect(await (await get('lacuna://page/assets/a.js')).text()).toBe('export {}');
});

test.each([
  'lacuna://page/../secret.js',
  'lacuna://page/%2e%2e/secret.js',
  'lacuna://page/..%2fsecret.js',
  'lacuna://page/assets/..%5c..%5csecret.js',
  'lacuna://page//etc/passwd',
  'lacuna://page/assets/a.js.map',
  'lacuna://page/constructor',
  'lacuna://other/index.html',
])('%s is not there', async (url) => {
  const response = await get(url);
  expect(response.status).toBe(404);
  expect(response.headers.get('content-security-policy')).toBe(PAGE_POLICY);
});

test('nothing can be sent to it', async () => {
  expect((await get('lacuna://page/', 'POST')).status).toBe(404);
});

test('the policy allows no inline script, no eval, no frame and no other host', () => {
  const policy = new Map(PAGE_POLICY.split('; ').map((part) => [part.split(' ')[0], part.split(' ').slice(1).join(' ')]));
  expect(policy.get('default-src')).toBe("'none'");
  for (const name of ['script-src', 'style-src', 'img-src', 'font-src', 'connect-src']) expect(policy.get(name)).toBe("'self'");
  for (const name of ['base-uri', 'form-action', 'frame-ancestors']) expect(policy.get(name)).toBe("'none'");
  expect(PAGE_POLICY).not.toMatch(/unsafe|\*|data:|http/);
});

test('the session asks for nothing but the page', () => {
  expect(mayRequest('lacuna://page/assets/a.js')).toBe(true);
  for (const url of ['https://example.org/', 'http://127.0.0.1/', 'file:///etc/passwd', 'lacuna://pages/', 'ws://x/', 'data:text/html,x', 'blob:lacuna://page/1']) expect(mayRequest(url)).toBe(false);
});

test('the scheme gets an origin and no special power', () => {
  expect(PAGE_SCHEME.privileges).toEqual({ standard: true, secure: true });
});
