import { describe, expect, it } from 'vitest';
import { definitionText, shortDefinitionText } from '../../../../renderer/format/definition-text.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { parametersWith } from '../../../builders/parameters.ts';

describe('the definition in force', () => {
  it('states the defaults of the analysis specification, sections 4 and 5', () => {
    expect(shortDefinitionText(DEFAULT_PARAMETERS)).toBe('“default”: ≥ 30 s, bridging < 10 s, record gaps out, device hold 0 s');
  });
  it('states every part that was changed', () => {
    const text = definitionText(parametersWith({ minDurationS: 180, bridgeS: 0, keepRecordGaps: true, deviceHoldS: 10 }));
    expect(text).toBe('set “changed”: a dropout is a loss of at least 3 min, mid estimate; losses parted by any information, except a single value, count apart; record gaps kept in; device hold of 10 s added to the high limit');
  });
});
