import { describe, expect, it } from 'vitest';
import { TIMELINE_KEYS, commandOf } from '../../../../renderer/timeline/keys.ts';

function press(key: string, part: Partial<Parameters<typeof commandOf>[0]> = {}) {
  return commandOf({ key, altKey: false, ctrlKey: false, metaKey: false, shiftKey: false, ...part });
}

describe('commandOf', () => {
  it.each([
    ['n', {}, 'next dropout'],
    ['N', { shiftKey: true }, 'next dropout'],
    ['M', {}, 'measure'],
    ['M', { shiftKey: true }, null],
    [']', {}, 'next dropout'],
    ['p', {}, 'previous dropout'],
    ['+', { shiftKey: true }, 'zoom in'],
    ['1', {}, '1 min around'],
    ['2', {}, '5 min around'],
    ['3', {}, '15 min around'],
    ['0', {}, 'fit'],
    ['ArrowRight', {}, 'pan later'],
    ['ArrowRight', { shiftKey: true }, 'page later'],
    ['ArrowRight', { altKey: true }, 'cursor later'],
    ['Home', {}, 'to start'],
  ] as const)('%s %o means %s', (key, part, command) => {
    expect(press(key, part)).toBe(command);
  });
  it('leaves the browser and the other panels their keys', () => {
    expect(press('n', { ctrlKey: true })).toBeNull();
    expect(press('0', { metaKey: true })).toBeNull();
    expect(press('Tab')).toBeNull();
    expect(press('Enter')).toBeNull();
  });
  it('gives no key to two commands, and names each for the help panel', () => {
    const keys = TIMELINE_KEYS.flatMap((binding) => binding.keys);
    expect(new Set(keys).size).toBe(keys.length);
    expect(TIMELINE_KEYS.every((binding) => binding.shown !== '' && binding.meaning !== '')).toBe(true);
  });
});
