import { expect, it } from 'vitest';
import { createCaseClock } from '../../../../renderer/format/time-text.ts';
import { handBoundsTable, handBrackets, type HandBounds } from '../../../../renderer/timeline/hand-bounds.ts';
import { buildCaseAnalysis } from '../../../builders/stored-case.ts';

const WINDOW = { startMs: 0, endMs: 100_000 };
const BY_ADA: HandBounds = { dropoutId: 'x', siteKey: 'finger', by: 'Ada', bounds: { lastGoodMs: 10_000, firstLostMs: 20_000, lastLostMs: 40_000, firstGoodMs: 50_000 }, endMs: 50_000, isDraft: false };

it('a bracket has its legs at first and last lost and reaches from last good to first good', () => {
  expect(handBrackets([BY_ADA], WINDOW, 1000)).toEqual([{ leftPx: 200, rightPx: 400, outer: { leftPx: 100, rightPx: 500 }, isOpen: false, siteKey: 'finger', isDraft: false, text: 'Ada', row: 0 }]);
});

it('two readers’ brackets over one dropout do not lie on one another; later ones start again below', () => {
  const later = { ...BY_ADA, by: 'Ada', bounds: { lastGoodMs: 60_000, firstLostMs: 61_000, lastLostMs: 62_000, firstGoodMs: 63_000 } };
  expect(handBrackets([later, { ...BY_ADA, by: 'Ben', isDraft: true }, BY_ADA], WINDOW, 1000).map(({ text, row }) => `${text} ${row}`)).toEqual(['Ben, not saved 0', 'Ada 1', 'Ada 0']);
});

it('a loss without an end has no right leg, and what is out of sight is not drawn', () => {
  const open = { ...BY_ADA, bounds: { ...BY_ADA.bounds, lastLostMs: null, firstGoodMs: null }, endMs: 90_000 };
  expect(handBrackets([open], WINDOW, 1000)[0]).toMatchObject({ rightPx: 900, isOpen: true });
  expect(handBrackets([BY_ADA], { startMs: 60_000, endMs: 70_000 }, 1000)).toEqual([]);
});

it('the table says the same in words', () => {
  const clock = createCaseClock({ clock: 'elapsed', epochMs: null, originOffsetMs: 0, zone: 'UTC', zoneStated: false });
  expect(handBoundsTable([BY_ADA], buildCaseAnalysis(), WINDOW, clock).rows.map(({ cells }) => cells)).toEqual([['finger', '–', 'Ada', '+0:00:10', '+0:00:20', '+0:00:40', '+0:00:50']]);
  expect(handBoundsTable([BY_ADA], buildCaseAnalysis(), { startMs: 60_000, endMs: 70_000 }, clock).rows).toEqual([]);
});
