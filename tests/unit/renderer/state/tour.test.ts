import { describe, expect, test } from 'vitest';
import { createPreferences, parsePreferences } from '../../../../renderer/state/preferences.ts';
import { beginTour, goToStep, leaveTour } from '../../../../renderer/state/tour.ts';

function storage(): Pick<Storage, 'getItem' | 'setItem'> {
  const kept = new Map<string, string>();
  return { getItem: (key) => kept.get(key) ?? null, setItem: (key, value) => void kept.set(key, value) };
}

describe('how far the steps are', () => {
  test('is kept over a new window: left at the fourth step, gone on with there, or from the first', () => {
    const place = storage();
    const first = createPreferences(place);
    expect(first.get().tour).toEqual({ state: 'new', stepId: '' });
    beginTour(first, true);
    goToStep(first, 'bound');
    leaveTour(first);
    const second = createPreferences(place);
    expect(second.get().tour).toEqual({ state: 'left', stepId: 'bound' });
    beginTour(second, false);
    expect(second.get().tour).toEqual({ state: 'running', stepId: 'bound' });
    beginTour(second, true);
    expect(second.get().tour).toEqual({ state: 'running', stepId: '' });
  });

  test('after the last step it is done, and begun again from the first', () => {
    const preferences = createPreferences(null);
    beginTour(preferences, true);
    goToStep(preferences, 'cautions');
    goToStep(preferences, null);
    expect(preferences.get().tour.state).toBe('done');
    beginTour(preferences, false);
    expect(preferences.get().tour).toEqual({ state: 'running', stepId: '' });
  });

  test('what another version or a hand wrote falls back by itself, the other preferences stay', () => {
    expect(parsePreferences('{"theme":"dark","tour":"half"}')).toMatchObject({ theme: 'dark', tour: { state: 'new', stepId: '' } });
    expect(parsePreferences('{"theme":"dark","tour":{"state":"paused","stepId":"bound"}}')).toMatchObject({ theme: 'dark', tour: { state: 'new', stepId: 'bound' } });
    expect(parsePreferences('{"theme":"dark"}').tour).toEqual({ state: 'new', stepId: '' });
  });
});
