/* Headings, cells, names of files, ages. What identifies: Safe Harbor, 45 CFR 164.514(b)(2)(i); the words: common practice without source. */
import { readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { blankInstants } from '../../../../core/identity/blank-instants.ts';
import { ageOnDay, groupedAge } from '../../../../core/identity/grouped-age.ts';
import { areLongNumbers, identifierOfCells } from '../../../../core/identity/identifier-cells.ts';
import { personInName } from '../../../../core/identity/path-mask.ts';
import { identityOfHeading } from '../../../../core/readers/place-identifiers.ts';
import { findQuantity } from '../../../../core/terms/find-quantity.ts';
import dictionary from '../../../../core/terms/dictionary.json' with { type: 'json' };
import { pseudonymsOf } from '../../../../core/worker/pseudonyms.ts';

describe('identityOfHeading', () => {
  it.each([
    ['name', ['Patient name', 'Surname', 'Nachname', 'Vorname', 'Nom de famille', 'Apellidos', 'Cognome', 'Surgeon', 'Anaesthetist', 'Anästhesist', 'Recorded by', 'Operateur', 'Attending physician']],
    ['record number', ['MRN', 'Hospital number', 'NHS no', 'SSN', 'Medical record number', 'Krankenversicherungsnummer', 'Versichertennummer', 'Account number', 'Insurance no', 'Numéro de dossier', 'Historia clínica', 'Codice fiscale', 'CSN']],
    ['birth date', ['DOB', 'Date of birth', 'Geburtsdatum', 'geb. am', 'Date de naissance', 'Fecha de nacimiento', 'Data di nascita']],
    ['age', ['Age', 'age (years)', 'Alter', 'Edad', 'Age at surgery']],
    ['address', ['Address', 'Anschrift', 'Straße', 'Post code', 'PLZ', 'ZIP', 'Wohnort', 'Dirección', 'Indirizzo']],
    ['contact', ['Phone', 'Telefon', 'Mobile number', 'E-mail', 'Fax', 'Pager', 'URL']],
    ['other number', ['Serial no', 'Seriennummer', 'Device ID', 'IP address', 'MAC address', 'Monitor serial number', 'UDI']],
  ] as const)('%s', (kind, headings) => {
    for (const heading of headings) expect([heading, identityOfHeading(heading)]).toEqual([heading, kind]);
  });

  it.each(['Time', 'SpO2 finger', 'Name', 'Drug name', 'Parameter name', 'Case', 'case_id', 'Fall', 'OP-Nr', 'Route', 'Site', 'Unit', 'Units', 'Value', 'Dose', 'Service', 'Sex', 'ASA', 'Procedure', 'Theatre', 'Room', 'Weight', 'Remark', 'Event', 'Record', 'End', 'Fin', 'icustay_id', 'patientunitstayid', 'Ort', 'Via'])('%s identifies nobody', (heading) => {
    expect(identityOfHeading(heading)).toBeNull();
  });

  // Minimum alveolar concentration and inspiratory pressure: common practice, no source.
  it.each(['MAC', 'ET MAC', 'MAC age adjusted', 'IP'])('%s heads a measurement, not the address of a machine', (heading) => {
    expect(identityOfHeading(heading)).toBeNull();
  });

  it('no heading of the dictionary that names a measurement', () => {
    const headings = Object.values(dictionary.headingWords).flat().filter((heading) => findQuantity(heading) !== null);
    expect(headings.length).toBeGreaterThan(50);
    expect(headings.filter((heading) => identityOfHeading(heading) !== null)).toEqual([]);
  });
});

describe('identifierOfCells', () => {
  it.each([
    ['name', ['Smith, John', 'Zorvath, Anna', 'Quist, Peter']],
    ['contact', ['a@example.org', 'b.c@example.org']],
    ['contact', ['555-123-4567', '555-987-6543']],
    ['record number', ['123-45-6789', '987-65-4321']],
    ['birth date', ['1948-04-12', '1961-01-01', '1999-12-31']],
    ['other number', ['3f2504e0-4f89-11d3-9a0c-0305e82c3301']],
    ['other number', ['00:1B:44:11:3A:B7', '00:1B:44:11:3A:B8']],
    ['other number', ['203.0.113.4', '203.0.113.5']],
    ['address', ['12 Main Street, Town', '9 Mill Lane']],
  ] as const)('%s: %j', (kind, cells) => {
    expect(identifierOfCells(cells)).toBe(kind);
  });

  it.each([
    [['Heart rate', 'SpO2', 'Perfusion index']],
    [['Hysterectomy, total', 'Hernia repair', 'Knee, arthroscopy']],
    [['Supine', 'Prone', 'Left lateral']],
    [['K16-1', 'K16-2']],
    [['250724', '250725']],
    [['2031-03-04', '2031-03-05', '2031-03-06']],
    [['97', '96', '0']],
    [['phenylephrine', 'Propofol', 'noradrenaline']],
    [[]],
  ])('nothing: %j', (cells) => {
    expect(identifierOfCells(cells)).toBeNull();
  });

  it('long numbers are those of a register', () => {
    expect(areLongNumbers(['123456', 'A-7654321'], 6)).toBe(true);
    expect(areLongNumbers(['123456', 'K1'], 6)).toBe(false);
  });
});

describe('personInName', () => {
  it.each([
    ['Smith_John_123456', '123456'],
    ['MRN123456', '123456'],
    ['Patient_47111', '47111'],
    ['1234567', '1234567'],
    ['Müller, Hans', 'muller, hans'],
    ['Herr Schmidt', 'herr schmidt'],
    ['SmithJohn', 'smithjohn'],
  ])('%s', (name, identity) => {
    expect(personInName(name)?.identity).toBe(identity);
  });

  it.each(['case 01', '100004', 'OR3_2031-03-02', '20310304', 'Export_20310304081500', 'stay-239396-chartevents', 's00001-2896-10-10-00-31n', 'Toe_Tourniquet_2', 'Final Report', 'theatre 4', 'trends', 'Kelpmouth_General_12345'])('%s says nothing of a person', (name) => {
    expect(personInName(name)).toBeNull();
  });

  it('no folder or file of the sample cases', () => {
    const names = readdirSync(new URL('../../../../sample-cases/cases', import.meta.url), { recursive: true }).map(String).flatMap((path) => path.split(/[\\/]/));
    expect(names.length).toBeGreaterThan(30);
    expect(names.filter((name) => personInName(name.replace(/\.[a-z]+$/, '')) !== null)).toEqual([]);
  });
});

describe('ages', () => {
  it.each([['63', '63'], ['89', '89'], ['90', '90 or more'], ['> 89', '90 or more'], ['104 y', '90 or more'], ['40-59', '40-59'], ['18 months', '18 months'], ['100 days', '100 days'], ['1948', null], ['adult', 'adult']])('%s → %s', (text, kept) => {
    expect(groupedAge(text)).toBe(kept);
  });

  it('count whole years on the day of the case', () => {
    const day = (text: string): number => Date.parse(text) / 86_400_000;
    expect(ageOnDay(day('1961-03-05'), day('2031-03-04'))).toBe('69');
    expect(ageOnDay(day('1961-03-04'), day('2031-03-04'))).toBe('70');
    expect(ageOnDay(day('1941-03-05'), day('2031-03-04'))).toBe('89');
    expect(ageOnDay(day('1941-03-04'), day('2031-03-04'))).toBe('90 or more');
    expect(ageOnDay(day('2032-01-01'), day('2031-03-04'))).toBeNull();
  });
});

describe('codes', () => {
  it('are HMAC-SHA-256 in base 32 (RFC 4231, test case 1: key 0b × 20, "Hi There" gives b0344c61d8db38535ca8…)', () => {
    // b0344c61d8db38 in groups of five bits: 10110 00000 11010 00100 11000 11000 01110 11000 11011 01100.
    expect(pseudonymsOf('0b'.repeat(20))('Hi There')).toBe('p0t4rrerv' + 'c');
  });

  it('depend on the key, and not on what was asked before', () => {
    const [a, b] = [pseudonymsOf('00'.repeat(32)), pseudonymsOf('01'.repeat(32))];
    expect(a('123456')).not.toBe(b('123456'));
    expect([a('1'), a('123456')][1]).toBe(pseudonymsOf('00'.repeat(32))('123456'));
  });
});

describe('blankInstants', () => {
  it.each([
    ['2031-03-04 08:15:00,97,60', '[date] [time],97,60'],
    ['2031-03-04T08:15:00+01:00', '[date] [time]'],
    ['03/04/2031 is 3 April', '[date] is [date]'],
    ['04.03.31 08:15', '[date] [time]'],
    ['Export_20310304081500', 'Export_[date]'],
    ['1935820200000 vasopressin 1 units', '[date] vasopressin 1 units'],
    ['47912.33333;97', '[date];97'],
    ['12-May-2031 09:15', '[date] [time]'],
    ['phenylephrine 100 mcg IV, line 12, 0.05 ug/kg/min', 'phenylephrine 100 mcg IV, line 12, 0.05 ug/kg/min'],
  ])('%s', (text, expected) => {
    expect(blankInstants(text)).toBe(expected);
  });
});
