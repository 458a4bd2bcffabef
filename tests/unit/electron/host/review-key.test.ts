import { describe, expect, test } from 'vitest';
import { readReviewsFile, reviewsFileText, signedText } from '../../../../core/review/reviews-file.ts';
import { buildReviewKey, SIGNATURES } from '../../../../electron/host/review-key.ts';
import { fileOf, lineOf, trailOf, verdictOn } from '../../../builders/sent-reviews.ts';

function kept(first: string | null = null) {
  const document = { text: first, wayOut: 'Move the file away', wayBack: 'Put an earlier file back', read: () => Promise.resolve(document.text), replace: (text: string) => Promise.resolve(void (document.text = text)) };
  return document;
}

// RFC 8032, 7.1, tests 1 and 2: public key and signature of the empty text and of the single byte 0x72.
test.each([
  ['d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a', '', 'e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b'],
  ['3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c', 'r', '92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00'],
])('the signature of RFC 8032 holds for key %s and for no other text', (publicKey, text, signature) => {
  expect(SIGNATURES.verify(publicKey, text, signature)).toBe(true);
  expect(SIGNATURES.verify(publicKey, `${text} `, signature)).toBe(false);
  expect(SIGNATURES.verify(publicKey, text, signature.replace(/^../, '00'))).toBe(false);
  expect(SIGNATURES.verify('00'.repeat(32), text, signature)).toBe(false);
});

test('a key is made once and is the same ever after', async () => {
  const document = kept();
  const store = buildReviewKey(document);
  expect(await store.peek()).toBeNull();
  const key = await store.get();
  expect((await buildReviewKey(document).get()).publicKey).toBe(key.publicKey);
  expect((await store.peek())?.fingerprint).toBe(key.fingerprint);
  expect(key.fingerprint).toBe(SIGNATURES.fingerprintOf(key.publicKey));
  expect(SIGNATURES.verify(key.publicKey, 'grüße', key.sign('grüße'))).toBe(true);
  expect((await buildReviewKey(kept()).get()).publicKey).not.toBe(key.publicKey);
});

test.each(['', '{}', '{"schema":"lacuna-reviews-key/1","x":1,"d":"a"}'])('a damaged key (%j) is told and not written over', async (text) => {
  const document = kept(text);
  await expect(buildReviewKey(document).get()).rejects.toMatchObject({ code: 'reviews-key-damaged', remedy: expect.stringContaining('Put an earlier file back') as string });
  expect(document.text).toBe(text);
});

describe('a file with a real signature', async () => {
  const key = await buildReviewKey(kept()).get();
  const content = { ...fileOf('A', trailOf('A', [{ by: 'Anna', body: verdictOn('a1', 100, 'motion', { judgement: { note: 'a note' } }) }]), [lineOf('a1', 'one')]), sender: { publicKey: key.publicKey, fingerprint: key.fingerprint } };
  const text = reviewsFileText(content, key.sign(signedText(content)));

  test('is taken as it was written', () => {
    expect(readReviewsFile(text, SIGNATURES)).toEqual({ ok: true, value: content });
  });

  test('every flipped bit is refused with a clear message, or changes nothing that is said', () => {
    const bytes = Buffer.from(text, 'utf8');
    let refused = 0;
    for (let at = 0; at < bytes.length; at += 5) {
      const flipped = Buffer.from(bytes);
      flipped[at] = (flipped[at] ?? 0) ^ (1 << (at % 7));
      const read = readReviewsFile(flipped.toString('utf8'), SIGNATURES);
      if (read.ok) expect(read.value).toEqual(content);
      else {
        refused += 1;
        expect(read.failure.message).toMatch(/^The (file cannot be read as a reviews file|signature of the file does not fit|file has the form)/);
      }
    }
    expect(refused).toBeGreaterThan(200);
  });

  test('signed by another than it says is refused', async () => {
    const other = await buildReviewKey(kept()).get();
    expect(readReviewsFile(reviewsFileText(content, other.sign(signedText(content))), SIGNATURES)).toMatchObject({ ok: false, failure: { code: 'reviews-file-altered' } });
  });
});
