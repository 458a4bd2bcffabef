import { expect, test } from 'vitest';
import { unbroken, unbrokenWithDays } from '../../../../core/base/unbroken.ts';

test('a number stays with its unit, and words that only begin like one are left alone', () => {
  expect(unbroken('lost 20 s of 97 % at 5.5 mg and 3 µg/kg')).toBe('lost 20\u00a0s of 97\u00a0% at 5.5\u00a0mg and 3\u00a0µg/kg');
  expect(unbroken('≥ 30 s, bridging < 10 s')).toBe('≥\u00a030\u00a0s, bridging <\u00a010\u00a0s');
  expect(unbroken('3 hands, 2 minds, 4 sensors')).toBe('3 hands, 2 minds, 4 sensors');
});

test('a length of time is one piece, the words beside it are not', () => {
  expect(unbroken('mid 4 h 40 min lost')).toBe('mid 4\u00a0h\u00a040\u00a0min lost');
  expect(unbroken('1 min 20 s – 1 min 40 s, mid 1 min 30 s')).toBe('1\u00a0min\u00a020\u00a0s – 1\u00a0min\u00a040\u00a0s, mid 1\u00a0min\u00a030\u00a0s');
  expect(unbroken('at 12 min 3 losses')).toBe('at 12\u00a0min 3 losses');
});

test('in the window a day stays with its month, and figures before another word do not; written dates keep plain spaces', () => {
  expect(unbrokenWithDays('28 November 2026, 09:17, lost 20 s')).toBe('28\u00a0November 2026, 09:17, lost 20\u00a0s');
  expect(unbrokenWithDays('9 May 2026 – 10 June 2026')).toBe('9\u00a0May 2026 – 10\u00a0June 2026');
  expect(unbrokenWithDays('in 2026 March was cold, 3 Maybes, 12 may, at 08:15 May 3')).toBe('in 2026 March was cold, 3 Maybes, 12 may, at 08:15 May 3');
  expect(unbroken('28 November 2026')).toBe('28 November 2026');
});

test('text that is unbroken stays as it is', () => {
  expect(unbroken(unbroken('2 h 5 min at 97 %'))).toBe(unbroken('2 h 5 min at 97 %'));
});
