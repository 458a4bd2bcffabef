import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import { HOST_METHODS, isHostMethod } from '../../core/protocol/host-api-schema.ts';
import type { Envelope, HostMethod } from '../../core/protocol/host-api-schema.ts';
import type { HostApi } from '../../core/protocol/host-api.ts';

/** Told of errors that are ours; the page gets only a sentence without details. */
export type BugReporter = (error: unknown) => void;

/**
 * Returns the reply to one call from a page, in its envelope. The arguments are checked before the host sees them
 * and the reply before the page does. Never rejects.
 */
export async function answerCall(host: HostApi, method: string, args: unknown, reportBug: BugReporter): Promise<Envelope> {
  try {
    if (!isHostMethod(method)) throw new FailureError({ code: 'unknown-call', message: 'The page asked for something the host does not do.' });
    return { ok: true, value: await checkedCall(host, method, args) };
  } catch (error) {
    const failure = toFailure(error);
    if (failure.code === 'internal') reportBug(error);
    return { ok: false, failure };
  }
}

async function checkedCall(host: HostApi, method: HostMethod, args: unknown): Promise<unknown> {
  const schema = HOST_METHODS[method];
  const checked = schema.args.safeParse(args);
  if (!checked.success) throw new FailureError({ code: 'bad-call', message: `The page asked ${method} in a form the host does not take.`, remedy: 'Report this: it is an error inside the program.' });
  // The schema of this very method has just accepted the argument; TypeScript cannot follow that through the union of methods.
  const run = host[method] as (args: unknown) => Promise<unknown>;
  const reply = schema.reply.safeParse(await run(checked.data));
  if (!reply.success) throw new Error(`reply of ${method} breaks its schema: ${reply.error.message}`);
  return reply.data;
}
