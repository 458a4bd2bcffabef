import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { describeProblem } from '../../../../renderer/state/problem.ts';

describe('describeProblem', () => {
  it('keeps message, remedy and place of a failure', () => {
    expect(describeProblem({ code: 'x', message: 'The time cannot be read.', file: 'a.csv', line: 12, remedy: 'Say the date order.' }, 'The import'))
      .toEqual({ message: 'The time cannot be read. (a.csv, line 12)', remedy: 'Say the date order.' });
  });
  it('does not name the file twice', () => {
    expect(describeProblem({ message: 'a.csv cannot be read.', file: 'a.csv' }, 'The import').message).toBe('a.csv cannot be read.');
  });
  it('puts a schema error into a sentence', () => {
    const parsed = z.object({ cases: z.array(z.object({ dropouts: z.number() })) }).safeParse({ cases: [{ dropouts: 'three' }] });
    const problem = describeProblem(parsed.error, 'Reading the library');
    expect(problem.message).toContain('cases › 0 › dropouts');
    expect(problem.message).not.toContain('{');
    expect(problem.remedy).toContain('start it again');
  });
  it('copes with anything thrown', () => {
    expect([describeProblem('text', 'X').message, describeProblem(undefined, 'X').message, describeProblem({}, 'X').message]).toEqual(['X failed: text.', 'X failed: undefined.', 'no reason was given']);
  });
});
