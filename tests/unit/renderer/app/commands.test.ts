import { describe, expect, it } from 'vitest';
import { commandFor, COMMANDS } from '../../../../renderer/app/commands.ts';

const press = (key: string, over: Partial<KeyboardEvent> = {}): Parameters<typeof commandFor>[0] => ({ key, ctrlKey: false, metaKey: false, altKey: false, defaultPrevented: false, target: null, ...over });

describe('commands', () => {
  it('have keys of their own, and one name each', () => {
    const keys = COMMANDS.flatMap((command) => command.keys);
    expect(new Set(keys).size).toBe(keys.length);
    expect(new Set(COMMANDS.map((command) => command.commandId)).size).toBe(COMMANDS.length);
  });
  it('are found by key', () => {
    expect([commandFor(press('n'))?.commandId, commandFor(press('?'))?.commandId, commandFor(press('z'))]).toEqual(['next-dropout', 'help', null]);
  });
  it('leave the browser’s and the system’s own keys alone, and what another part has used', () => {
    expect([commandFor(press('n', { ctrlKey: true })), commandFor(press('n', { altKey: true })), commandFor(press('n', { metaKey: true })), commandFor(press('n', { defaultPrevented: true }))]).toEqual([null, null, null, null]);
  });
});
