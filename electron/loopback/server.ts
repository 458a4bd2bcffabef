import { createServer } from 'node:http';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { keySchema } from '../../core/protocol/host-api-schema.ts';
import type { Envelope } from '../../core/protocol/host-api-schema.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import { answerCall } from '../host/call-gate.ts';
import type { BugReporter } from '../host/call-gate.ts';
import type { Host } from '../host/host.ts';
import { PAGE_HEADERS, listPageFiles } from '../host/page-files.ts';
import type { PageFile } from '../host/page-files.ts';
import { createToken } from './access-token.ts';
import { judgeRequest } from './request-gate.ts';
import type { GateOptions } from './request-gate.ts';
import { sendPageFile } from './static-files.ts';

/** Calls are small, but for slides and reports that come back to be written with what was answered; whole files come another way. */
const MAX_CALL_BYTES = 32 << 20;
const MAX_FILE_BYTES = 8 * 2 ** 30;
const KEEP_ALIVE_MS = 25_000;

export interface ServerOptions {
  readonly host: Host;
  readonly pageFolder: string;
  /** 0: any free one. */
  readonly port: number;
  readonly reportBug: BugReporter;
}

export interface RunningServer {
  /** Address with the token: whoever knows it can read the library, until the program ends. */
  readonly address: string;
  /** Returns an address that opens the page once. */
  issueEntry(): string;
  /** Ends the event streams, lets running replies end, and frees the port. */
  close(): Promise<void>;
}

/** Returns the browser door to a host: an HTTP server that only this machine can reach. */
export async function startServer(options: ServerOptions): Promise<RunningServer> {
  const pageFiles = await listPageFiles(options.pageFolder);
  const streams = new Set<ServerResponse>();
  const token = createToken();
  const entries = new Set<string>();
  let gate: GateOptions | null = null;

  const server = createServer({ requestTimeout: 0 }, (request, response) => {
    if (gate === null) {
      response.destroy();
      return;
    }
    const context: Context = { ...options, gate, pageFiles, streams };
    answer(request, response, context).catch((error: unknown) => {
      options.reportBug(error);
      if (!response.headersSent) sendEnvelope(response, 500, { ok: false, failure: toFailure(error) });
      else response.destroy();
    });
  });
  const port = await listen(server, options.port);
  gate = { port, token, entries };
  const stopEvents = options.host.onEvent((event) => {
    for (const stream of streams) stream.write(`data: ${JSON.stringify(event)}\n\n`);
  });
  const keepAlive = setInterval(() => {
    for (const stream of streams) stream.write(': still here\n\n');
  }, KEEP_ALIVE_MS);

  return {
    address: `http://127.0.0.1:${port}/?token=${token}`,
    issueEntry() {
      const entry = createToken();
      entries.add(entry);
      return `http://127.0.0.1:${port}/?entry=${entry}`;
    },
    async close() {
      clearInterval(keepAlive);
      stopEvents();
      for (const stream of streams) stream.end();
      await new Promise<void>((resolve) => {
        server.close(() => resolve());
        server.closeIdleConnections();
        setTimeout(() => server.closeAllConnections(), 2000).unref();
      });
    },
  };
}

interface Context extends ServerOptions {
  readonly gate: GateOptions;
  readonly pageFiles: ReadonlyMap<string, PageFile>;
  readonly streams: Set<ServerResponse>;
}

function listen(server: ReturnType<typeof createServer>, wanted: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', (error) => {
      const isTaken = 'code' in error && error.code === 'EADDRINUSE';
      reject(isTaken ? new FailureError({ code: 'port-taken', message: `Port ${wanted} is taken by another program.`, remedy: 'Leave --port out, or name another one.' }) : error);
    });
    server.listen({ host: '127.0.0.1', port: wanted, exclusive: true }, () => {
      const bound = server.address();
      if (typeof bound === 'object' && bound !== null) resolve(bound.port);
      else reject(new Error('the server has no port'));
    });
  });
}

async function answer(request: IncomingMessage, response: ServerResponse, context: Context): Promise<void> {
  const method = request.method ?? '';
  const verdict = judgeRequest({ method, target: request.url ?? '', headers: request.headers }, context.gate);
  if (verdict.kind === 'refuse') {
    sendText(response, verdict.status, `Refused: ${verdict.why}.`);
    return;
  }
  if (verdict.kind === 'admit') {
    response.writeHead(303, { ...PAGE_HEADERS, 'location': '/', 'set-cookie': verdict.cookie });
    response.end();
    return;
  }
  const { path, query } = verdict;
  const page = method === 'GET' ? context.pageFiles.get(path) : undefined;
  if (page !== undefined) await sendPageFile(response, page);
  else if (method === 'GET' && path === '/events') openStream(response, context);
  else if (method === 'POST' && path.startsWith('/api/')) await answerApi(request, response, context, path.slice('/api/'.length));
  else if (method === 'GET' && path.startsWith('/bytes/case/')) await sendCase(response, context, path.slice('/bytes/case/'.length));
  else if (method === 'PUT' && path.startsWith('/bytes/stage/')) await takeFile(request, response, context, path.slice('/bytes/stage/'.length), query.get('path') ?? '');
  else sendText(response, 404, 'There is nothing here.');
}

async function answerApi(request: IncomingMessage, response: ServerResponse, context: Context, method: string): Promise<void> {
  const contentType = request.headers['content-type'] ?? '';
  if (contentType.split(';')[0]?.trim() !== 'application/json') {
    sendText(response, 415, 'Calls come as JSON.');
    return;
  }
  const body = await readBody(request, MAX_CALL_BYTES);
  if (body === null) {
    response.shouldKeepAlive = false;
    sendText(response, 413, 'The call is too large.');
    return;
  }
  let args: unknown;
  try {
    args = JSON.parse(body.toString('utf8'));
  } catch {
    sendText(response, 400, 'The call is not JSON.');
    return;
  }
  sendEnvelope(response, 200, await answerCall(context.host, method, args, context.reportBug));
}

/** Returns the whole body, or null as soon as it turns out longer than `limit`. */
async function readBody(request: IncomingMessage, limit: number): Promise<Buffer | null> {
  if (Number(request.headers['content-length'] ?? 0) > limit) return null;
  const chunks: Buffer[] = [];
  let length = 0;
  for await (const chunk of request) {
    const bytes: Buffer = chunk; // a request without an encoding yields Buffers
    length += bytes.length;
    if (length > limit) return null;
    chunks.push(bytes);
  }
  return Buffer.concat(chunks);
}

async function sendCase(response: ServerResponse, context: Context, caseKey: string): Promise<void> {
  try {
    const bytes = await context.host.openCase(keyOrThrow(caseKey));
    response.writeHead(200, { ...PAGE_HEADERS, 'content-type': 'application/octet-stream', 'content-length': bytes.length });
    response.end(bytes);
  } catch (error) {
    sendFailure(response, context, error, 404);
  }
}

async function takeFile(request: IncomingMessage, response: ServerResponse, context: Context, importId: string, path: string): Promise<void> {
  try {
    const key = keyOrThrow(importId);
    if (Number(request.headers['content-length'] ?? 0) > MAX_FILE_BYTES) throw new FailureError({ code: 'file-too-large', message: `${path} is larger than 8 GiB.`, file: path, remedy: 'Export fewer cases at a time.' });
    const value = await context.host.stageFile(key, path, request);
    sendEnvelope(response, 200, { ok: true, value });
  } catch (error) {
    if (request.destroyed && !request.complete) return; // the page gave the upload up; nobody waits for an answer
    response.shouldKeepAlive = false; // the rest of the body is not read
    sendFailure(response, context, error, 200);
  }
}

function openStream(response: ServerResponse, context: Context): void {
  response.writeHead(200, { ...PAGE_HEADERS, 'content-type': 'text/event-stream; charset=utf-8' });
  response.write(': open\n\n');
  context.streams.add(response);
  response.on('close', () => context.streams.delete(response));
}

function keyOrThrow(text: string): string {
  const key = keySchema.safeParse(text);
  if (!key.success) throw new FailureError({ code: 'bad-key', message: 'This is no key of the library.', remedy: 'Go back to the library and try again.' });
  return key.data;
}

function sendFailure(response: ServerResponse, context: Context, error: unknown, status: number): void {
  const failure = toFailure(error);
  if (failure.code === 'internal') context.reportBug(error);
  sendEnvelope(response, status, { ok: false, failure });
}

function sendEnvelope(response: ServerResponse, status: number, envelope: Envelope): void {
  const body = Buffer.from(JSON.stringify(envelope));
  response.writeHead(status, { ...PAGE_HEADERS, 'content-type': 'application/json; charset=utf-8', 'content-length': body.length });
  response.end(body);
}

function sendText(response: ServerResponse, status: number, text: string): void {
  response.writeHead(status, { ...PAGE_HEADERS, 'content-type': 'text/plain; charset=utf-8' });
  response.end(`${text}\n`);
}
