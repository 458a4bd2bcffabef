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
    expect(parseCall(['analyse', 'a', 'b', '--out', 'o'], '1')).toEqual({ command: 'analyse', inputs: ['a', 'b'], out: 'o', keepIdentifiers: false, relativeTime: false, robustness: false, json: false });
  });

  it('takes every option, before the inputs too', () => {
    const args = ['analyse', '--out', 'o', '--mapping', 'm', '--parameters', 'p', '--zone', 'Europe/Berlin', '--keep-identifiers', '--pseudonym-key', 'k', '--relative-time', '--robustness', '--json', '--workers', '3', 'a'];
    expect(parseCall(args, '1')).toEqual({ command: 'analyse', inputs: ['a'], out: 'o', mapping: 'm', parameters: 'p', zone: 'Europe/Berlin', keepIdentifiers: true, pseudonymKey: 'k', relativeTime: true, robustness: true, json: true, workers: 3 });
  });

  it('takes a library to be verified, with a hash where one is given', () => {
    const hash = 'AB'.repeat(32);
    expect(parseCall(['verify', 'lib'], '1')).toEqual({ command: 'verify', library: 'lib', head: undefined, json: false });
    expect(parseCall(['verify', 'lib', '--head', hash, '--json'], '1')).toEqual({ command: 'verify', library: 'lib', head: hash.toLowerCase(), json: true });
    expect(parseCall(['verify', 'lib', '--head', 'abc'], '1')).toEqual({ exitCode: 2 });
    expect(said).toContain('64 hexadecimal digits');
    expect(parseCall(['verify'], '1')).toEqual({ exitCode: 2 });
  });

  it('takes a cohort with its defaults, and every option of it', () => {
    const plain = { command: 'cohort', inputs: ['a'], out: 'o', keepIdentifiers: false, json: false, seed: 20_260_101, draws: 10_000, conf: 0.95, leaveOutUndated: false, dropouts: 'computed' };
    expect(parseCall(['cohort', 'a', '--out', 'o'], '1')).toEqual(plain);
    const args = ['--seed', '7', '--draws', '500', '--conf', '0.9', '--group-by', 'ASA class', '--patient-column', 'Subject', '--from', '2031-01-01', '--to', '2031-12-31', '--leave-out-undated', '--change', '2031-03-01: second sensor: ear', '--case-list', 'l.csv', '--dropouts', 'both', '--reviews', 'r1', 'r2'];
    expect(parseCall(['cohort', 'a', '--out', 'o', ...args], '1')).toEqual({
      ...plain, seed: 7, draws: 500, conf: 0.9, groupBy: { kind: 'asa class' }, patientColumn: 'Subject', from: '2031-01-01', to: '2031-12-31', leaveOutUndated: true,
      change: { date: '2031-03-01', text: 'second sensor: ear' }, caseList: 'l.csv', dropouts: 'both', reviews: ['r1', 'r2'],
    });
    expect(parseCall(['cohort', 'a', '--out', 'o', '--group-by', 'Room'], '1')).toMatchObject({ groupBy: { kind: 'column', column: 'Room' } });
  });

  it('takes a research bundle with the options of both other commands, and the verifying of one', () => {
    expect(parseCall(['bundle', 'a', '--out', 'o', '--relative-time', '--robustness', '--group-by', 'service', '--made', '2031-04-03T08:00:00+02:00'], '1')).toMatchObject({
      command: 'bundle', inputs: ['a'], out: 'o', relativeTime: true, robustness: true, groupBy: { kind: 'service' }, draws: 10_000, dropouts: 'computed', made: '2031-04-03T06:00:00.000Z',
    });
    const verify = { command: 'bundle verify', bundle: 'b', inputs: ['x', 'y'], reviews: ['r'], json: true };
    expect(parseCall(['bundle', 'verify', 'b', '--inputs', 'x', 'y', '--reviews', 'r', '--json'], '1')).toEqual(verify);
    expect(parseCall(['bundle-verify', 'b', '--inputs', 'x', 'y', '--reviews', 'r', '--json'], '1')).toEqual(verify);
    expect(parseCall(['bundle', 'verify', 'b', '--library', 'l'], '1')).toEqual({ command: 'bundle verify', bundle: 'b', inputs: [], library: 'l', json: false });
    expect(parseCall(['bundle', 'verify', 'b'], '1')).toEqual({ exitCode: 2 });
    expect(said).toContain('--inputs');
  });

  it.each([
    ['a moment that is none', ['bundle', 'a', '--out', 'o', '--made', 'today'], '2031-04-03T08:00:00+02:00'],
    ['a day that is none', ['cohort', 'a', '--out', 'o', '--from', '2031-02-30'], 'YYYY-MM-DD'],
    ['a change without words', ['cohort', 'a', '--out', 'o', '--change', '2031-02-03'], 'what was changed'],
    ['too few draws', ['cohort', 'a', '--out', 'o', '--draws', '10'], '100'],
    ['a confidence above 1', ['cohort', 'a', '--out', 'o', '--conf', '95'], '0.95'],
    ['dropouts of another kind', ['cohort', 'a', '--out', 'o', '--dropouts', 'refuted'], 'computed, confirmed, both'],
    ['an option of the other command', ['cohort', 'a', '--out', 'o', '--robustness'], '--robustness'],
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

  it.each([
    [['create', 'x.lacuna'], { action: 'create', file: 'x.lacuna' }],
    [['move', 'old', 'x.lacuna'], { action: 'move', folder: 'old', file: 'x.lacuna' }],
    [['passphrase', 'x.lacuna'], { action: 'passphrase', file: 'x.lacuna' }],
    [['check', 'x.lacuna'], { action: 'check', file: 'x.lacuna' }],
    [['backups', 'x.lacuna'], { action: 'backups', file: 'x.lacuna' }],
    [['restore', 'x.lacuna', 'b.lacuna'], { action: 'restore', file: 'x.lacuna', backup: 'b.lacuna' }],
    [['share', 'lib', 's.json'], { action: 'share', library: 'lib', file: 's.json' }],
    [['take', 'x.lacuna', 's.json'], { action: 'take', library: 'x.lacuna', file: 's.json' }],
  ])('takes library %j', (args, call) => {
    expect(parseCall(['library', ...args], '1')).toEqual({ command: 'library', ...call });
    expect(parseCall(['library', ...args.slice(0, -1)], '1')).toEqual({ exitCode: 2 });
  });

  it('takes library actions, and refuses a name of an action without measuring', () => {
    const plain = { command: 'library', action: 'actions', library: 'lib', out: 'a.csv', measureAgain: false, only: undefined, today: undefined, by: undefined };
    expect(parseCall(['library', 'actions', 'lib', '--out', 'a.csv'], '1')).toEqual(plain);
    expect(parseCall(['library', 'actions', 'lib', '--out', 'a.csv', '--measure-again', '--action', '00A2', '--today', '2031-04-12', '--by', 'R'], '1')).toEqual({ ...plain, measureAgain: true, only: '00a2', today: '2031-04-12', by: 'R' });
    for (const wrong of [[], ['--out', 'a.csv', '--action', '00a2'], ['--out', 'a.csv', '--measure-again', '--action', 'xyz'], ['--out', 'a.csv', '--today', '2031-02-30']]) expect(parseCall(['library', 'actions', 'lib', ...wrong], '1')).toEqual({ exitCode: 2 });
    expect(said).not.toBe('');
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
