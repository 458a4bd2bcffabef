import { describe, expect, it } from 'vitest';
import { CAUTIONS } from '../../../../core/model/cautions.ts';

/* Trade handbook, section 12: twelve cautions, of which the sixth is on association. */
describe('cautions', () => {
  it('are twelve, in order, with words of their own', () => {
    expect(CAUTIONS.map((caution) => caution.number)).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]);
    expect(CAUTIONS[5]?.text).toContain('association');
    expect(CAUTIONS[0]?.text).toContain('no alarm');
  });
});
