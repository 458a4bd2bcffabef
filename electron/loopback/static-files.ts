import { readFile } from 'node:fs/promises';
import type { ServerResponse } from 'node:http';
import { PAGE_HEADERS } from '../host/page-files.ts';
import type { PageFile } from '../host/page-files.ts';

/** Sends one file of the page; the caller looked it up in the fixed list. */
export async function sendPageFile(response: ServerResponse, file: PageFile): Promise<void> {
  const body = await readFile(file.path);
  response.writeHead(200, { ...PAGE_HEADERS, 'content-type': file.type, 'content-length': body.length });
  response.end(body);
}
