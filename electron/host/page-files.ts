import { readdir } from 'node:fs/promises';
import { extname, join, relative, sep } from 'node:path';

/**
 * What the page may load: its own files and nothing else. No inline script or style, no eval, no frame, no form target.
 * Both doors send it with every file.
 */
export const PAGE_POLICY = [
  "default-src 'none'",
  "script-src 'self'",
  "style-src 'self'",
  "img-src 'self'",
  "font-src 'self'",
  "connect-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join('; ');

/** Headers that both doors send with every file of the page. */
export const PAGE_HEADERS: Readonly<Record<string, string>> = {
  'content-security-policy': PAGE_POLICY,
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  'permissions-policy': 'camera=(), microphone=(), geolocation=(), usb=(), serial=(), display-capture=()',
  'cache-control': 'no-store',
};

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.ico': 'image/x-icon',
  '.woff2': 'font/woff2',
  '.webmanifest': 'application/manifest+json',
};

export interface PageFile {
  readonly path: string;
  readonly type: string;
}

/**
 * Returns the files of the built page by request path ('/' is the page itself). The list is made once;
 * a request is looked up in it and never turned into a path, so no request can climb out of the folder.
 */
export async function listPageFiles(folder: string): Promise<ReadonlyMap<string, PageFile>> {
  const files = new Map<string, PageFile>();
  for (const entry of await readdir(folder, { recursive: true, withFileTypes: true })) {
    const type = TYPES[extname(entry.name)];
    if (!entry.isFile() || type === undefined) continue;
    const path = join(entry.parentPath, entry.name);
    files.set(`/${relative(folder, path).split(sep).join('/')}`, { path, type });
  }
  const index = files.get('/index.html');
  if (index === undefined) throw new Error('the page has not been built');
  files.set('/', index);
  return files;
}
