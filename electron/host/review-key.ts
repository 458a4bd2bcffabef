import { createHash, createPrivateKey, createPublicKey, generateKeyPair, sign, verify } from 'node:crypto';
import { promisify } from 'node:util';
import { z } from 'zod';
import type { SignatureCheck } from '../../core/review/reviews-file.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { LibraryDocument } from './library-shelf.ts';

const SCHEMA = 'lacuna-reviews-key/1';
/** Ed25519 as a JSON Web Key (RFC 8037): x is the public, d the secret part, base64url. */
const keySchema = z.strictObject({ schema: z.literal(SCHEMA), x: z.string(), d: z.string() });

/** The key pair with which a library signs the reviews that it sends. */
export interface ReviewKey {
  /** 32 bytes as hexadecimal digits. */
  readonly publicKey: string;
  /** sha-256 of these bytes. */
  readonly fingerprint: string;
  /** Returns the signature of a text's UTF-8 bytes as hexadecimal digits. */
  sign(text: string): string;
}

/** Where the key is kept. */
export interface ReviewKeyStore {
  /**
   * Returns the library's key; the first call makes it.
   * Errors  rejects with a FailureError: `reviews-key-damaged`, or what the disk refused.
   */
  get(): Promise<ReviewKey>;
  /** Returns the key if there is one. */
  peek(): Promise<ReviewKey | null>;
}

/** Returns the key that is kept in a document: in an encrypted library it is encrypted as everything else, in a folder it is not. */
export function buildReviewKey(document: LibraryDocument): ReviewKeyStore {
  async function read(): Promise<{ readonly x: string; readonly d: string } | null> {
    try {
      const text = await document.read();
      return text === null ? null : keySchema.parse(JSON.parse(text));
    } catch {
      throw new FailureError({
        code: 'reviews-key-damaged',
        message: 'The key with which this library signs reviews cannot be read.',
        remedy: `${document.wayBack}; or ${document.wayOut.charAt(0).toLowerCase()}${document.wayOut.slice(1)}: a new key is made then, and everybody who receives from you has to confirm its fingerprint.`,
      });
    }
  }
  return {
    async peek() {
      const kept = await read();
      return kept === null ? null : keyOf(kept);
    },
    async get() {
      const kept = await read();
      if (kept !== null) return keyOf(kept);
      const { privateKey } = await promisify(generateKeyPair)('ed25519');
      const { x, d } = privateKey.export({ format: 'jwk' });
      if (x === undefined || d === undefined) throw new Error('a key without its parts');
      await document.replace(`${JSON.stringify({ schema: SCHEMA, x, d })}\n`);
      return keyOf({ x, d });
    },
  };
}

function keyOf({ x, d }: { readonly x: string; readonly d: string }): ReviewKey {
  const secret = createPrivateKey({ format: 'jwk', key: { kty: 'OKP', crv: 'Ed25519', x, d } });
  const publicKey = Buffer.from(x, 'base64url').toString('hex');
  return { publicKey, fingerprint: fingerprintOf(publicKey), sign: (text) => sign(null, Buffer.from(text, 'utf8'), secret).toString('hex') };
}

function fingerprintOf(publicKey: string): string {
  return createHash('sha256').update(Buffer.from(publicKey, 'hex')).digest('hex');
}

/** Digests and signatures for `core/review`. Source: RFC 8032, FIPS 180-4, as Node's OpenSSL does them. */
export const SIGNATURES: SignatureCheck = {
  sha256: (text) => createHash('sha256').update(text, 'utf8').digest('hex'),
  fingerprintOf,
  verify(publicKey, text, signature) {
    try {
      const key = createPublicKey({ format: 'jwk', key: { kty: 'OKP', crv: 'Ed25519', x: Buffer.from(publicKey, 'hex').toString('base64url') } });
      return verify(null, Buffer.from(text, 'utf8'), key, Buffer.from(signature, 'hex'));
    } catch {
      return false; // no point of the curve
    }
  },
};
