import { createHmac } from 'node:crypto';

/** Figures and small letters that are not taken for one another. Source: Crockford's base 32, from memory. */
const SIGNS = '0123456789abcdefghjkmnpqrstvwxyz';
const LENGTH = 10;

/**
 * Returns the function that makes a code of ten signs (50 bits) of an identity: HMAC-SHA-256 with the given key (hexadecimal).
 * The same key gives the same code for the same identity; without the key a code leads back to nobody.
 * Source  HMAC: RFC 2104; test cases: RFC 4231.
 */
export function pseudonymsOf(keyHex: string): (identity: string) => string {
  const key = Buffer.from(keyHex, 'hex');
  const known = new Map<string, string>();
  return (identity) => {
    const before = known.get(identity);
    if (before !== undefined) return before;
    const digest = createHmac('sha256', key).update(identity, 'utf8').digest();
    let code = '';
    let bits = 0;
    let value = 0;
    for (const byte of digest) {
      value = (value << 8) | byte;
      bits += 8;
      while (bits >= 5 && code.length < LENGTH) {
        bits -= 5;
        code += SIGNS.charAt((value >>> bits) & 31);
      }
      value &= (1 << bits) - 1;
      if (code.length === LENGTH) break;
    }
    known.set(identity, code);
    return code;
  };
}
