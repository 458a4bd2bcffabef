import { createHash } from 'node:crypto';
import { expect, test } from 'vitest';
import { canonicalJson } from '../../../../core/review/trail.ts';

test('canonical JSON writes the worked example of the standard', () => {
  // Source: RFC 8785, section 3.2.2 (input) and 3.2.3 (output and its bytes).
  const input = JSON.parse('{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001], "string": "\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/", "literals": [null, true, false]}') as unknown;
  expect(canonicalJson(input)).toBe('{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}');
  // Source: RFC 8785, section 3.2.3: keys by UTF-16 code units.
  const keys = JSON.parse('{"\\u20ac":"Euro Sign","\\r":"Carriage Return","\\ufb33":"Hebrew Letter Dalet With Dagesh","1":"One","\\ud83d\\ude00":"Emoji: Grinning Face","\\u0080":"Control","\\u00f6":"Latin Small Letter O With Diaeresis"}') as object;
  expect(Object.values(JSON.parse(`[${canonicalJson(keys).slice(1, -1).replaceAll(/"(?:[^"\\]|\\.)*":/g, '')}]`) as string[])).toEqual(['Carriage Return', 'One', 'Control', 'Latin Small Letter O With Diaeresis', 'Euro Sign', 'Emoji: Grinning Face', 'Hebrew Letter Dalet With Dagesh']);
  expect(createHash('sha256').update('abc').digest('hex')).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'); // FIPS 180-4 example, from memory
});
