import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { expect, test } from './fixtures.ts';

/*
 * A page on another port of the same machine, in the same profile as the open workstation: the same site for the browser, which
 * therefore sends it our cookie along. It has the address of everything and tries what a page can (Fetch standard; OWASP cheat sheet
 * on cross-site request forgery, from memory).
 */
test('a page of another program on this machine can neither read nor change anything, although the browser knows the cookie', async ({ page, context, workstation }) => {
  const ours = new URL(workstation.address).origin;
  const cookiesSent: string[] = [];
  const stranger = createServer((request, response) => {
    cookiesSent.push(request.headers.cookie ?? '');
    response.setHeader('content-type', 'text/html');
    response.end('<!doctype html><title>stranger</title><p>stranger');
  });
  await new Promise<void>((resolve) => stranger.listen(0, '127.0.0.1', resolve));
  try {
    await expect(page.getByRole('heading', { name: 'Library' })).toBeVisible();
    const listed = (): Promise<string> => page.evaluate(async () => (await fetch('/api/listCases', { method: 'POST', headers: { 'content-type': 'application/json' }, body: 'null' })).text());
    const keysIn = (list: string): string[] => [...list.matchAll(/"caseKey":"([0-9a-f]{32})"/g)].map((match) => match[1]!);
    await expect.poll(async () => keysIn(await listed()).length, { timeout: 60_000 }).toBeGreaterThan(10); // the samples come in
    const before = await listed();
    const keys = keysIn(before);
    const hostile = await context.newPage();
    await hostile.goto(`http://127.0.0.1:${(stranger.address() as AddressInfo).port}/`);

    // What it asks for: with scripts that want to read the answer, and without.
    const got = await hostile.evaluate(async ({ base, caseKey }) => {
      const tried: Record<string, string> = {};
      async function attempt(name: string, path: string, init: RequestInit): Promise<void> {
        try {
          const response = await fetch(`${base}${path}`, { credentials: 'include', ...init });
          tried[name] = response.type === 'opaque' ? 'opaque' : `read ${await response.text()}`;
        } catch {
          tried[name] = 'blocked';
        }
      }
      const json = { 'content-type': 'application/json' };
      await attempt('page', '/', {});
      await attempt('list', '/api/listCases', { method: 'POST', headers: json, body: 'null' });
      await attempt('list as text', '/api/listCases', { method: 'POST', body: 'null' });
      await attempt('case', `/bytes/case/${caseKey}`, {});
      await attempt('events', '/events', {});
      await attempt('remove', '/api/removeCase', { method: 'POST', mode: 'no-cors', headers: { 'content-type': 'text/plain' }, body: JSON.stringify({ caseKey }) });
      await attempt('stage', '/bytes/stage/00?path=a.csv', { method: 'PUT', body: 'x' });
      return tried;
    }, { base: ours, caseKey: keys[0]! });
    expect(got).toEqual({ 'page': 'blocked', 'list': 'blocked', 'list as text': 'blocked', 'case': 'blocked', 'events': 'blocked', 'remove': 'blocked', 'stage': 'blocked' });

    // As a form, which no rule of reading stops.
    const posted = context.waitForEvent('response', (response) => response.url() === `${ours}/api/removeCase`);
    await hostile.evaluate(({ base }) => {
      const frame = document.createElement('iframe');
      frame.name = 'sink';
      const form = document.createElement('form');
      form.action = `${base}/api/removeCase`;
      form.method = 'post';
      form.enctype = 'text/plain';
      form.target = 'sink';
      document.body.append(frame, form);
      form.submit();
    }, { base: ours });
    expect((await posted).status()).toBe(403);

    // In a frame, as a script, as a picture, as a window that it holds on to.
    const embedded = await hostile.evaluate(async (base) => {
      const settled = (element: HTMLScriptElement | HTMLImageElement, src: string): Promise<string> => new Promise((resolve) => {
        element.addEventListener('load', () => resolve('load'));
        element.addEventListener('error', () => resolve('error'));
        element.src = src;
        document.body.append(element);
      });
      const script = await settled(document.createElement('script'), `${base}/api/listCases`);
      const picture = await settled(document.createElement('img'), `${base}/`);
      const opened = window.open(`${base}/`);
      await new Promise((resolve) => setTimeout(resolve, 1500));
      let reach = 'reached';
      try {
        void opened?.document.body.innerHTML;
      } catch {
        reach = 'out of reach';
      }
      opened?.close();
      return { script, picture, reach };
    }, ours);
    expect(embedded).toEqual({ script: 'error', picture: 'error', reach: 'out of reach' });
    const framed = context.waitForEvent('response', (response) => response.url() === `${ours}/` && response.request().resourceType() === 'document');
    await hostile.evaluate((base) => {
      const frame = document.createElement('iframe');
      frame.src = `${base}/`;
      document.body.append(frame);
    }, ours);
    expect((await framed).status()).toBe(403);
    expect(await hostile.evaluate(() => document.cookie)).toBe('');

    // The limit that the page on security states, held here so that it stays true to it: the cookie itself does reach the other server.
    expect(cookiesSent.some((cookie) => cookie.includes('lacuna-'))).toBe(true);
    expect(await listed()).toBe(before);
  } finally {
    stranger.closeAllConnections();
    stranger.close();
  }
});
