import { describe, expect, it } from 'vitest';
import { protocolDifferences } from '../../../../core/model/protocol-differences.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { protocolStatement } from '../../../../core/persist/protocol-file.ts';
import { buildProtocolContent } from '../../../builders/protocol-content.ts';

const protocol = buildProtocolContent();
const fixed = { title: 'T', version: 2, fixedAt: '2031-05-06T07:08:09.000Z' };

describe('a result beside a protocol', () => {
  it('under the fixed definition says so, whatever the set is called', () => {
    const differences = protocolDifferences(protocol, { parameters: { ...DEFAULT_PARAMETERS, name: 'other name' }, seed: 20_260_101 });
    expect(differences).toEqual([]);
    expect(protocolStatement(fixed, differences)).toBe('Computed under the definition of protocol “T”, version 2, fixed 2031-05-06T07:08:09.000Z.');
  });

  it('that departs from it names every field with both values, entries of tables too', () => {
    const parameters = { ...DEFAULT_PARAMETERS, minDurationS: 60, lookBackBolusS: { ...DEFAULT_PARAMETERS.lookBackBolusS, ephedrine: 600 }, spo2Plausible: [1, 99] as const };
    const differences = protocolDifferences(protocol, { parameters, sites: ['finger', 'forehead'], effect: null });
    expect(differences).toEqual([
      { field: 'parameters.minDurationS', fixed: '30', used: '60' },
      { field: 'parameters.lookBackBolusS.ephedrine', fixed: '900', used: '600' },
      { field: 'parameters.spo2Plausible', fixed: '[1,100]', used: '[1,99]' },
      { field: 'sites', fixed: '["finger","ear lobe"]', used: '["finger","forehead"]' },
      { field: 'effect', fixed: 'ratio', used: 'not set' },
    ].sort((a, b) => differences.findIndex(({ field }) => field === a.field) - differences.findIndex(({ field }) => field === b.field)));
    expect(protocolStatement(fixed, differences)).toContain('parameters.minDurationS is 60, fixed was 30;');
  });
});
