import { createCipheriv, createDecipheriv, hkdfSync, randomBytes } from 'node:crypto';
import argon2 from 'hash-wasm/dist/argon2.umd.min.js';
import { z } from 'zod';
import { FailureError } from '../../core/protocol/failure-error.ts';

/*
 * The key file of a library, readable by anyone and of use to nobody without the passphrase:
 *   passphrase, salt ──Argon2id──▶ key-encrypting key ──AES-256-GCM──▶ wrapped data key
 * The data key is drawn once; the passphrase can be changed without writing the library anew.
 */

/** What a passphrase costs to try. */
export interface PassphraseCost {
  readonly memoryKiB: number;
  readonly iterations: number;
  readonly parallelism: number;
}

/** Source  RFC 9106, section 4: the second recommended option, for machines with little memory; about a second on a slow one. */
export const RFC_9106_COST: PassphraseCost = { memoryKiB: 65_536, iterations: 3, parallelism: 4 };

/** Shorter ones are guessed however much each guess costs. Our own choice, above the 8 that NIST SP 800-63B asks as the least. */
export const LEAST_PASSPHRASE = 12;

const hex = (bytes: number): z.ZodString => z.string().regex(new RegExp(`^[0-9a-f]{${bytes * 2}}$`));
const SCHEMA = 'lacuna-library-key/1';
const keyFileSchema = z.object({
  schema: z.literal(SCHEMA),
  // Bounds, so that a file that was tampered with cannot make the program take all memory or run for days.
  derivation: z.object({ name: z.literal('argon2id'), salt: hex(16), memoryKiB: z.number().int().min(8).max(1 << 20), iterations: z.number().int().min(1).max(64), parallelism: z.number().int().min(1).max(16) }),
  wrapped: z.object({ cipher: z.literal('aes-256-gcm'), nonce: hex(12), key: hex(32), tag: hex(16) }),
});
type KeyFile = z.infer<typeof keyFileSchema>;

/** The keys of an open library. */
export interface LibraryKeys {
  /** 256 random bits that wrap everything else; handed to nobody but the key file, wrapped. */
  readonly data: Uint8Array;
  /** What the database is encrypted with, hexadecimal. */
  readonly database: string;
  /** What the codes that vouch for each stored content are made with. */
  readonly seal: Uint8Array;
}

/** Returns new keys. */
export function drawKeys(): LibraryKeys {
  return keysFrom(randomBytes(32));
}

/** Returns the keys that belong to a data key. */
export function keysFrom(data: Uint8Array): LibraryKeys {
  // eslint-disable-next-line no-restricted-syntax -- no file is read: a few hashes, done before anything could wait for them
  const derive = (purpose: string): Buffer => Buffer.from(hkdfSync('sha256', data, new Uint8Array(0), purpose, 32));
  return { data, database: derive('lacuna library database 1').toString('hex'), seal: derive('lacuna library seal 1') };
}

/**
 * Returns the text of a key file that opens with `passphrase`.
 * Errors  rejects with a FailureError `passphrase-short`.
 */
export async function wrapKey({ data }: LibraryKeys, passphrase: string, cost: PassphraseCost = RFC_9106_COST): Promise<string> {
  checkPassphrase(passphrase);
  const derivation: KeyFile['derivation'] = { name: 'argon2id', salt: randomBytes(16).toString('hex'), ...cost };
  const nonce = randomBytes(12);
  const cipher = createCipheriv('aes-256-gcm', await keyFrom(passphrase, derivation), nonce).setAAD(boundTo(derivation));
  const key = Buffer.concat([cipher.update(data), cipher.final()]);
  const file: KeyFile = { schema: SCHEMA, derivation, wrapped: { cipher: 'aes-256-gcm', nonce: nonce.toString('hex'), key: key.toString('hex'), tag: cipher.getAuthTag().toString('hex') } };
  return `${JSON.stringify(file, null, 2)}\n`;
}

/** Throws a FailureError `passphrase-short` for one that no library may have. */
export function checkPassphrase(passphrase: string): void {
  if ([...passphrase.normalize('NFC')].length >= LEAST_PASSPHRASE) return;
  throw new FailureError({ code: 'passphrase-short', message: `A passphrase needs at least ${LEAST_PASSPHRASE} characters.`, remedy: 'Take four or more words that do not belong together, and write them down in a safe place.' });
}

/**
 * Returns the keys in a key file.
 * Errors  rejects with a FailureError: `passphrase-wrong`, `key-damaged`, `library-newer`.
 */
export async function unwrapKey(text: string, passphrase: string): Promise<LibraryKeys> {
  const { derivation, wrapped } = parseKeyFile(text);
  const decipher = createDecipheriv('aes-256-gcm', await keyFrom(passphrase, derivation), Buffer.from(wrapped.nonce, 'hex')).setAAD(boundTo(derivation)).setAuthTag(Buffer.from(wrapped.tag, 'hex'));
  try {
    return keysFrom(Buffer.concat([decipher.update(Buffer.from(wrapped.key, 'hex')), decipher.final()]));
  } catch {
    throw new FailureError({
      code: 'passphrase-wrong',
      message: 'This is not the passphrase of the library.',
      remedy: 'Type it again; look at capitals and the keyboard’s language. A forgotten passphrase cannot be replaced or reset by anyone, and without it nothing in the library can be read: only the original exports can then be imported anew into a new library.',
    });
  }
}

function parseKeyFile(text: string): KeyFile {
  let json: unknown = null;
  try {
    json = JSON.parse(text);
  } catch {
    // told below
  }
  const parsed = keyFileSchema.safeParse(json);
  if (parsed.success) return parsed.data;
  const schema = typeof json === 'object' && json !== null && 'schema' in json ? json.schema : null;
  if (typeof schema === 'string' && /^lacuna-library-key\/\d+$/.test(schema) && schema !== SCHEMA) {
    throw new FailureError({ code: 'library-newer', message: 'The library was made by a later version of Lacuna.', remedy: 'Open it with that version or a later one; nothing was changed.' });
  }
  throw new FailureError({ code: 'key-damaged', message: 'The key file of the library is damaged.', remedy: 'Take the key file of one of its backups: the key in it is the same. The passphrase is the one that the backup was made with.' });
}

/** The same characters may come as different bytes from another keyboard; NFC makes them one. */
async function keyFrom(passphrase: string, { salt, memoryKiB, iterations, parallelism }: KeyFile['derivation']): Promise<Uint8Array> {
  const password = new TextEncoder().encode(passphrase.normalize('NFC'));
  if (password.length === 0) return new Uint8Array(32); // the library refuses none; it opens nothing
  return await argon2.argon2id({ password, salt: Buffer.from(salt, 'hex'), iterations, parallelism, memorySize: memoryKiB, hashLength: 32, outputType: 'binary' });
}

/** What the wrapped key is bound to: other parameters in the file, and it does not open. */
function boundTo(derivation: KeyFile['derivation']): Buffer {
  return Buffer.from(JSON.stringify([SCHEMA, derivation.name, derivation.salt, derivation.memoryKiB, derivation.iterations, derivation.parallelism]));
}
