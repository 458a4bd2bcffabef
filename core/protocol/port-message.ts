import { z } from 'zod';
import { envelopeSchema, hostEventSchema, keySchema } from './host-api-schema.ts';
import type { HostEvent } from './host-api.ts';

/*
 * What travels over the one MessagePort between page and host in the desktop program.
 * A file is staged chunk by chunk: the page sends the next chunk when the last one was acknowledged,
 * so that neither side ever holds a whole file.
 */

const id = z.number().int().min(0);
const bytes: z.ZodType<Uint8Array> = z.instanceof(Uint8Array);

/** Largest chunk of a file in one message. */
export const CHUNK_BYTES = 1 << 20;

/** Checks a message from the page. */
export const pageMessageSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('call'), id, method: z.string(), args: z.unknown() }),
  z.strictObject({ kind: z.literal('open-case'), id, caseKey: keySchema }),
  z.strictObject({ kind: z.literal('stage'), id, importId: keySchema, path: z.string().min(1).max(4096) }),
  z.strictObject({ kind: z.literal('stage-chunk'), id, bytes }),
  z.strictObject({ kind: z.literal('stage-end'), id }),
  z.strictObject({ kind: z.literal('stage-abort'), id }),
]);
export type PageMessage = z.infer<typeof pageMessageSchema>;

/** Checks a message from the host. `chunk-taken` asks for the next chunk of the file staged under `id`. */
export const hostMessageSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('reply'), id, envelope: envelopeSchema }),
  z.strictObject({ kind: z.literal('case-bytes'), id, bytes }),
  z.strictObject({ kind: z.literal('chunk-taken'), id }),
  z.strictObject({ kind: z.literal('event'), event: hostEventSchema }),
]);
export type HostMessage =
  | Exclude<z.infer<typeof hostMessageSchema>, { kind: 'event' }>
  | { readonly kind: 'event'; readonly event: HostEvent };
