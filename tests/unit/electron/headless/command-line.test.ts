import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { parseCall } from '../../../../electron/headless/command-line.ts';

let said = '';
beforeEach(() => {
  said = '';
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
    said += String(text);
    return true;
  });
});
afterEach(() => {
  vi.restoreAllMocks();
});

describe('parseCall', () => {
  it('takes inputs and output, and leaves the rest at its defaults', () => {
    expect(parseCall(['analyse', 'a', 'b', '--out', 'o'], '1')).toEqual({ inputs: ['a', 'b'], out: 'o', keepIdentifiers: false, relativeTime: false, robustness: false, json: false });
  });

  it('takes every option, before the inputs too', () => {
    const args = ['analyse', '--out', 'o', '--mapping', 'm', '--parameters', 'p', '--zone', 'Europe/Berlin', '--keep-identifiers', '--pseudonym-key', 'k', '--relative-time', '--robustness', '--json', '--workers', '3', 'a'];
    expect(parseCall(args, '1')).toEqual({ inputs: ['a'], out: 'o', mapping: 'm', parameters: 'p', zone: 'Europe/Berlin', keepIdentifiers: true, pseudonymKey: 'k', relativeTime: true, robustness: true, json: true, workers: 3 });
  });

  it.each([
    ['no output folder', ['analyse', 'a'], '--out'],
    ['no input', ['analyse', '--out', 'o'], 'input'],
    ['an unknown option', ['analyse', 'a', '--out', 'o', '--fast'], '--fast'],
    ['an option without its value', ['analyse', 'a', '--out'], '--out'],
    ['an unknown command', ['view', 'a'], 'view'],
    ['no worker', ['analyse', 'a', '--out', 'o', '--workers', '0'], 'whole number'],
    ['half a worker', ['analyse', 'a', '--out', 'o', '--workers', '1.5'], 'whole number'],
  ])('refuses %s and says so', (_, args, word) => {
    expect(parseCall(args, '1')).toEqual({ exitCode: 2 });
    expect(said).toContain(word);
  });

  it('refuses no command at all', () => {
    expect(parseCall([], '1')).toEqual({ exitCode: 2 });
    expect(said).not.toBe('');
  });

  it('shows help and version', () => {
    const out = vi.spyOn(process.stdout, 'write').mockReturnValue(true);
    expect(parseCall(['--help'], '1.2.3')).toEqual({ exitCode: 0 });
    expect(parseCall(['--version'], '1.2.3')).toEqual({ exitCode: 0 });
    expect(out).toHaveBeenCalledWith('1.2.3\n');
  });
});
