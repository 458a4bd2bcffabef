import { expect, it } from 'vitest';
import { findQuantity } from '../../../../core/terms/find-quantity.ts';

it('prefers the unit cell to the heading', () => {
  expect(findQuantity('Temp', '°F')?.unit).toBe('[degF]');
  expect(findQuantity('Temp (°C)', 'degF')?.unit).toBe('[degF]');
  expect(findQuantity('Temp (°C)', 'unknown')?.unit).toBe('Cel');
});

it('takes a heart rate at a site for the pulse rate of its sensor', () => {
  expect(findQuantity('HR finger')).toMatchObject({ quantity: 'pulse-rate', site: 'finger' });
  expect(findQuantity('HR')).toMatchObject({ quantity: 'heart-rate', site: null });
});

it('says what it assumed', () => {
  expect(findQuantity('SBP')?.assumption).toMatch(/method not stated/);
  expect(findQuantity('NIBP SBP')).toMatchObject({ quantity: 'nibp-sys', assumption: null });
  expect(findQuantity('ART SBP')).toMatchObject({ quantity: 'art-sys', assumption: null });
});

it('keeps an unknown word of an oximeter heading as the name of the sensor', () => {
  expect(findQuantity('SpO2 A')).toMatchObject({ quantity: 'spo2', site: 'unstated', sensor: 'a' });
  expect(findQuantity('SpO2 somewhere on the patient today maybe')).toBeNull();
});

it('gives up where two sites are named', () => {
  expect(findQuantity('SpO2 finger ear')).toBeNull();
});
