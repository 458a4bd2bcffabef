import { describe, expect, test } from 'vitest';
import { drawKeys, LEAST_PASSPHRASE, RFC_9106_COST, unwrapKey, wrapKey } from '../../../../electron/store/library-key.ts';
import { CHEAP, PASSPHRASE } from '../../../builders/library-kinds.ts';

const { cost } = CHEAP;

describe('the key file', () => {
  test('gives the keys back to the passphrase, however its letters are composed, and to no other', async () => {
    const keys = drawKeys();
    const text = await wrapKey(keys, 'Schlüssel für die Bücher', cost);
    expect(await unwrapKey(text, 'Schlüssel für die Bücher')).toEqual(keys);
    expect(await unwrapKey(text, 'Schlüssel für die Bücher'.normalize('NFD'))).toEqual(keys);
    for (const wrong of ['schlüssel für die Bücher', 'Schlüssel für die Bücher ', '', 'x']) {
      await expect(unwrapKey(text, wrong)).rejects.toMatchObject({ code: 'passphrase-wrong', remedy: expect.stringContaining('A forgotten passphrase cannot be replaced or reset by anyone') as string });
    }
  });

  test('holds neither the keys nor the passphrase, and another salt each time', async () => {
    const keys = drawKeys();
    const [one, other] = [await wrapKey(keys, PASSPHRASE, cost), await wrapKey(keys, PASSPHRASE, cost)];
    for (const secret of [PASSPHRASE, keys.database, Buffer.from(keys.data).toString('hex'), Buffer.from(keys.seal).toString('hex')]) expect(one).not.toContain(secret);
    const saltOf = (text: string): string => (JSON.parse(text) as { derivation: { salt: string } }).derivation.salt;
    expect(saltOf(one)).not.toBe(saltOf(other));
    expect(new Set([keys.database, Buffer.from(keys.data).toString('hex'), Buffer.from(keys.seal).toString('hex')]).size).toBe(3);
  });

  test('asks by default what RFC 9106 recommends, and refuses a passphrase that is guessed', async () => {
    expect(RFC_9106_COST).toEqual({ memoryKiB: 64 * 1024, iterations: 3, parallelism: 4 }); // RFC 9106, section 4, second recommended option
    await expect(wrapKey(drawKeys(), 'x'.repeat(LEAST_PASSPHRASE - 1), cost)).rejects.toMatchObject({ code: 'passphrase-short' });
  });

  test('that was tampered with does not open, and cannot ask for all the memory', async () => {
    const text = await wrapKey(drawKeys(), PASSPHRASE, cost);
    await expect(unwrapKey(text.replace('"memoryKiB": 8', '"memoryKiB": 16'), PASSPHRASE)).rejects.toMatchObject({ code: 'passphrase-wrong' });
    for (const bad of ['', '{', text.replace('"memoryKiB": 8', '"memoryKiB": 900000000'), text.replace('argon2id', 'none'), text.slice(0, -20)]) {
      await expect(unwrapKey(bad, PASSPHRASE)).rejects.toMatchObject({ code: 'key-damaged', remedy: expect.stringContaining('backups') as string });
    }
    await expect(unwrapKey(text.replace('library-key/1', 'library-key/2'), PASSPHRASE)).rejects.toMatchObject({ code: 'library-newer' });
  });
});
