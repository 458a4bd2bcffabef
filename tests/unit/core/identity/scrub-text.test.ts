/* What identifies: Safe Harbor, 45 CFR 164.514(b)(2)(i), handbook 9.4. The forms in which it is written: common practice without source. */
import { describe, expect, it } from 'vitest';
import { knownIdentifiers } from '../../../../core/identity/known-identifiers.ts';
import { scrubText, type ScrubContext } from '../../../../core/identity/scrub-text.ts';
import dictionary from '../../../../core/terms/dictionary.json' with { type: 'json' };

const CONTEXT: ScrubContext = { years: { first: 2031, last: 2031 }, known: null, codes: new Set(['220045']) };
const scrubbed = (text: string, context = CONTEXT): string => scrubText(text, context).text;

describe('what looks like an identifier is blanked, and the rest stays', () => {
  it.each([
    ['Mr Smith restless', 'Mr [withheld] restless'],
    ['Mrs K complains', 'Mrs [withheld] complains'],
    ["Dr. O'Brien informed", 'Dr. [withheld] informed'],
    ['Prof. Dr. med. Hans Müller anwesend', 'Prof. Dr. med. [withheld] anwesend'],
    ['Frau Müller-Lüdenscheidt wach', 'Frau [withheld] wach'],
    ['frau müller schläft', 'frau [withheld] schläft'],
    ['DR SMITH CALLED', 'DR [withheld] CALLED'],
    ['Mme Dupont réveillée', 'Mme [withheld] réveillée'],
    ['Señor García López', 'Señor [withheld]'],
    ['given by J. Smith', 'given by [withheld]'],
    ['Smith, John arrived', '[withheld] arrived'],
    ['Anna Zorvath to theatre', '[withheld] to theatre'],
    ['surgeon: Miller scrubbed', 'surgeon: [withheld] scrubbed'],
    ['OA Müller informiert', 'OA [withheld] informiert'],
    ['MRN: AB-12345', 'MRN: [withheld]'],
    ['Fallnr. 4711008', 'Fallnr. [withheld]'],
    ['sensor 1234567 replaced', 'sensor [withheld] replaced'],
    ['S/N 99A-1234', 'S/N [withheld]'],
    ['DOB 12/04/1948', '[withheld]'],
    ['geb. am 3. März 1948', '[withheld]'],
    ['operated on 12.03.2019', 'operated on [withheld]'],
    ['93-year-old', '90 or more-year-old'],
    ['aged 93', 'aged 90 or more'],
    ['call 555-123-4567', 'call [withheld]'],
    ['Rückruf 4711', 'Rückruf [withheld]'],
    ['+49 30 1234567', '[withheld]'],
    ['wrote to john.smith@example.org', 'wrote to [withheld]'],
    ['see http://example.org/p/1', 'see [withheld]'],
    ['SSN 123-45-6789', 'SSN [withheld]'],
    ['NHS 943 476 5919', 'NHS [withheld]'],
    ['12 Main Street', '[withheld]'],
    ['Hauptstraße 12', '[withheld]'],
    ['SW1A 1AA', '[withheld]'],
    ['host 192.0.2.12', 'host [withheld]'],
  ])('%s', (text, expected) => {
    expect(scrubbed(text)).toBe(expected);
  });

  it('finds again in a text what columns of the file hold, whatever the order and the case', () => {
    const known = knownIdentifiers(['Zorvath, Xenia', '48213', '1961-04-17', 'system', 'unknown']);
    const context = { ...CONTEXT, known };
    expect(scrubbed('asked ZORVATH twice', context)).toBe('asked [withheld] twice');
    expect(scrubbed('Xenia Zorvath (48213)', context)).toBe('[withheld] ([withheld])');
    expect(scrubbed('born 1961/04/17', context)).toBe('born [withheld]');
    expect(scrubbed('system restarted, cause unknown', context)).toBe('system restarted, cause unknown');
  });
});

describe('what is of the trade stays', () => {
  it.each([
    'OR 3', 'Theatre 3 changed to Theatre 4', 'Surgeon informed', 'Dr Called', 'Patient: Supine', 'OA Visite', 'MR ANGIO', 'MS contin 10 mg', 'A. Radialis punctured', 'E. coli', '14 Fr tube', 'Allen test normal', 'Miller blade', 'Trendelenburg 20 degrees',
    'SpO2 93', 'HR 90', 'BP 120/80', 'Rate 0.05 ug/kg/min', 'heparin 100000 units', 'platelets 250000', 'phenylephrine 100 mcg IV', '08:15:30', 'case of 02.03.2031 begun', '2031-03-04 08:15:00 | 97', 'item 220045', '150456 MDC_PULS_OXIM_SAT_O2', 'Kelpmouth General Hospital',
    '1999-01-01 08:15:00,97,60',
  ])('%s', (text) => {
    expect(scrubbed(text)).toBe(text);
  });

  it('every phrase of the dictionary, as written, in capitals, and with capital first letters', () => {
    const phrases: string[] = [];
    const walk = (part: unknown): void => {
      if (typeof part === 'string') phrases.push(part);
      else if (Array.isArray(part)) part.forEach(walk);
      else if (typeof part === 'object' && part !== null) for (const [key, own] of Object.entries(part)) if (key !== 'sources') walk([key, own]);
    };
    walk(dictionary);
    expect(phrases.length).toBeGreaterThan(825);
    const touched = phrases.flatMap((phrase) => [phrase, phrase.toUpperCase(), phrase.replace(/(?<![\p{L}])\p{L}/gu, (letter) => letter.toUpperCase())]).filter((text) => scrubbed(text) !== text);
    expect(touched).toEqual([]);
  });

  it('takes no long time over any text', () => {
    for (const part of ['1 ', 'a1-', 'Mr ', 'Aa ', '(1', 'a.', 'J. ', 'rue ', '+1 ', 'A'.repeat(50)]) {
      const text = part.repeat(40_000 / part.length);
      expect(scrubText(text, CONTEXT).text.length, part).toBeGreaterThan(0);
    }
  }, 20_000);
});
