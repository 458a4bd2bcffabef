import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';

/** Returns a new secret that nobody can guess: 256 random bits, fit for an address and a cookie. */
export function createToken(): string {
  return randomBytes(32).toString('base64url');
}

/** Returns whether `given` is the secret, in a time that tells nothing about how much of it is right. */
export function isToken(given: string, secret: string): boolean {
  const digest = (text: string): Buffer => createHash('sha256').update(text).digest();
  return timingSafeEqual(digest(given), digest(secret));
}
