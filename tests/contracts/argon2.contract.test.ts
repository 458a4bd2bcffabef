import argon2 from 'hash-wasm/dist/argon2.umd.min.js';
import { expect, test } from 'vitest';

/*
 * hash-wasm 4.13.0 against the test vectors of the reference implementation of Argon2 (src/test.c of P-H-C/phc-winner-argon2, CC0 or
 * Apache 2.0), Argon2id, version 0x13; written down from memory.
 */
const text = new TextEncoder();

test.each([
  [2, 256, 1, '9dfeb910e80bad0311fee20f9c0e2b12c17987b4cac90c2ef54d5b3021c68bfe'],
  [2, 256, 2, '6d093c501fd5999645e0ea3bf620d7b8be7fd2db59c20d9fff9539da2bf57037'],
  [1, 65_536, 1, 'f6a5adc1ba723dddef9b5ac1d464e180fcd9dffc9d1cbf76cca2fed795d9ca98'],
  [2, 65_536, 1, '09316115d5cf24ed5a15a31a3ba326e5cf32edc24702987c02b6566f61913cf7'],
])('Argon2id, %i passes, %i KiB, %i lanes', async (iterations, memorySize, parallelism, expected) => {
  const key = await argon2.argon2id({ password: text.encode('password'), salt: text.encode('somesalt'), iterations, parallelism, memorySize, hashLength: 32, outputType: 'binary' });
  expect(Buffer.from(key).toString('hex')).toBe(expected);
});
