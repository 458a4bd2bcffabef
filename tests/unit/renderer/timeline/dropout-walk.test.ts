import { describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { createCaseClock } from '../../../../renderer/format/time-text.ts';
import { dropoutSpan, dropoutsInOrder, neighbourDropout, windowAround } from '../../../../renderer/timeline/dropout-walk.ts';
import { dropoutSentence } from '../../../../renderer/timeline/speech.ts';
import { threeHourCase } from '../../../bench/harness/built-cases.ts';

const HOUR = 3_600_000;
const record = threeHourCase();
const analysis = analyzeCase(record, DEFAULT_PARAMETERS, 'test');
const ordered = dropoutsInOrder(analysis);
const ALL = { startMs: 0, endMs: 3 * HOUR };

describe('walking from dropout to dropout', () => {
  it('goes through all sites in the order of onset and stops at either end', () => {
    const walked: string[] = [];
    let id: string | null = null;
    for (let next = neighbourDropout(ordered, id, ALL, 1); next !== null; next = neighbourDropout(ordered, id, ALL, 1)) {
      walked.push(next.siteKey);
      id = next.dropoutId;
    }
    // Regression: the losses built into the case; the ear lobe's first, before its sensor was on, is none.
    expect(walked).toEqual(['finger', 'finger', 'finger', 'ear lobe', 'finger', 'ear lobe', 'finger', 'ear lobe']);
    expect(neighbourDropout(ordered, ordered[0]?.dropoutId ?? null, ALL, -1)).toBeNull();
  });
  it('starts from what is visible when nothing is chosen', () => {
    expect(neighbourDropout(ordered, null, { startMs: 4_000_000, endMs: 5_000_000 }, 1)?.firstLostMs).toBe(4_200_000);
    expect(neighbourDropout(ordered, null, { startMs: 4_000_000, endMs: 4_100_000 }, -1)?.firstLostMs).toBe(2_890_000);
  });
});

describe('windowAround', () => {
  it('keeps a zoom that suits and centres the dropout', () => {
    expect(windowAround({ startMs: 1000_000, endMs: 1100_000 }, { startMs: 0, endMs: 1000_000 })).toEqual({ startMs: 550_000, endMs: 1550_000 });
  });
  it('zooms in on a short one, with five minutes before it in sight', () => {
    expect(windowAround({ startMs: 1000_000, endMs: 1040_000 }, { startMs: 0, endMs: 10 * HOUR })).toEqual({ startMs: 700_000, endMs: 1340_000 });
  });
});

describe('dropoutSentence', () => {
  it('says which, where, when, how long, how it ended and what preceded it', () => {
    const dropout = ordered[0];
    if (dropout === undefined) throw new Error('the built case has dropouts');
    // Derived: the case starts 09:12 in Zurich (UTC+1 in March); rows every 5 s lost from 1500 s to 1600 s, good at 1495 and 1605 s.
    expect(dropoutSentence(dropout, 1, 8, createCaseClock(record.origin), analysis)).toBe(
      'Dropout 1 of 8, finger, 09:37:00 to 09:38:40, lost 1 min 40 s to 1 min 50 s, restored at the same site, SpO2 98 % before and 98 % after, last perfusion index 0.61, at most 2.35 before that, onset looks fading, preceded by phenylephrine, 2 min 38 s before, and by arms tucked, 6 min 38 s before.',
    );
  });
  it('reaches to the end of the count when it was not restored', () => {
    const open = ordered[ordered.length - 1];
    if (open === undefined) throw new Error('the built case has dropouts');
    expect(open.restoredBy).not.toBe('same site');
    expect(dropoutSpan(open, 3 * HOUR).endMs).toBeGreaterThan(open.firstLostMs);
  });
});
