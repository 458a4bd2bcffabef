import { expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { summarizeCase } from '../../../../core/protocol/case-summary.ts';
import { caseOf } from '../../../builders/case-record.ts';
import { regularChannel, repeat } from '../../../builders/channel.ts';

it('the line of a case holds its second result beside the first, each share of its own time', () => {
  // 10-s rows. Lost from 300 to 390 s; weak from 600 to 690 s: two dropouts of 100 s once doubtful samples count as lost.
  const cells = [...repeat(97, 30), ...repeat(null, 10), ...repeat(97, 60)];
  const index = cells.map((v, i) => (v === null ? null : i >= 60 && i < 70 ? 0.1 : 2));
  const seconds = cells.map((_, i) => 60 + (i % 5));
  const record = caseOf({ channels: [regularChannel({ quantity: 'spo2', site: 'finger' }, cells, 10), regularChannel({ quantity: 'perfusion-index', site: 'finger' }, index, 10), regularChannel({ quantity: 'heart-rate' }, seconds, 10)] });
  const line = (weakPerfusionIndex: number) => summarizeCase('k', record, analyzeCase(record, { ...DEFAULT_PARAMETERS, weakPerfusionIndex }, '0.0.0'));
  expect(line(0.3)).toMatchObject({ dropouts: 1, lostMidMs: 100_000, shareMid: 100 / 990, doubtfulLost: { dropouts: 2, lostMidMs: 200_000 } });
  expect(line(0.3).doubtfulLost.shareMid).toBeCloseTo(200 / 990, 12);
  expect(line(0).doubtfulLost).toEqual({ dropouts: 1, lostMidMs: 100_000, shareMid: 100 / 990 });
});
