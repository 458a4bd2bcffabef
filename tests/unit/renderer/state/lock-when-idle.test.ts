import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { lockWhenIdle } from '../../../../renderer/state/lock-when-idle.ts';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

test('locks after so many minutes without a sign of a person, tries again while the library is busy, and stops when told', async () => {
  const window = new EventTarget();
  const lockLibrary = vi.fn(() => Promise.reject(new Error('busy')));
  const stop = lockWhenIdle({ lockLibrary }, window, 10);
  await vi.advanceTimersByTimeAsync(9 * 60_000);
  window.dispatchEvent(new Event('keydown'));
  await vi.advanceTimersByTimeAsync(9 * 60_000);
  expect(lockLibrary).not.toHaveBeenCalled();
  await vi.advanceTimersByTimeAsync(60_000);
  expect(lockLibrary).toHaveBeenCalledTimes(1);
  await vi.advanceTimersByTimeAsync(5000);
  expect(lockLibrary).toHaveBeenCalledTimes(2);
  stop();
  await vi.advanceTimersByTimeAsync(60 * 60_000);
  expect(lockLibrary).toHaveBeenCalledTimes(2);
});

test('never locks with 0 minutes', async () => {
  const lockLibrary = vi.fn(() => Promise.resolve({ locked: true }));
  lockWhenIdle({ lockLibrary }, new EventTarget(), 0);
  await vi.advanceTimersByTimeAsync(24 * 60 * 60_000);
  expect(lockLibrary).not.toHaveBeenCalled();
});
