import { describe, expect, it } from 'vitest';
import { flowFigure, flowWords } from '../../../../../core/report/document/flow-figure.ts';
import type { CohortFlow } from '../../../../../core/model/cohort-flow.ts';

const named = (count: number) => Array.from({ length: count }, (_, i) => ({ caseKey: `${i}`, caseId: `K${i}` }));
const LONG = 'the file could not be put together because its clock runs backwards in every part, and no other file of the case says which of the two times is meant';
const FLOW: CohortFlow = {
  unit: 'case', units: 7, undated: 0,
  steps: [
    { step: 'imported', cases: 12, leftOut: [] },
    { step: 'readable', cases: 10, leftOut: [{ reason: LONG, cases: named(2) }] },
    { step: 'usable', cases: 8, leftOut: [{ reason: 'no SpO2', cases: named(1) }, { reason: 'never monitored', cases: named(1) }] },
    { step: 'analysed', cases: 7, leftOut: [{ reason: 'outside the chosen days', cases: named(1) }] },
  ],
};

describe('the flow of cases', () => {
  it('has a box for every step, and beside it what was left out; no text leaves the picture or another’s box', () => {
    const { scene } = flowFigure(FLOW);
    const boxes = scene.shapes.flatMap((shape) => (shape.kind === 'box' ? [shape] : []));
    expect(boxes).toHaveLength(4 + 3);
    for (const one of boxes) {
      expect(one.x + one.width).toBeLessThanOrEqual(scene.width);
      expect(one.y + one.height).toBeLessThanOrEqual(scene.height);
    }
    const texts = scene.shapes.flatMap((shape) => (shape.kind === 'text' ? [shape] : []));
    for (const shown of texts) expect(boxes.some(({ y, height }) => shown.y > y && shown.y <= y + height), shown.text).toBe(true);
    expect(texts.map(({ text }) => text.trim()).join(' ')).toContain(`2: ${LONG}`);
    // Boxes of one column never overlap.
    for (const column of [boxes.filter(({ x }) => x < 100), boxes.filter(({ x }) => x > 100)]) for (const [i, one] of column.entries()) if (i > 0) expect(one.y).toBeGreaterThan((column[i - 1]?.y ?? 0) + (column[i - 1]?.height ?? 0));
  });

  it('says the same in words', () => {
    expect(flowWords(FLOW.steps).slice(2)).toEqual([
      '8 cases were usable (with SpO2 and a monitored sensor). Left out before: 1 because no SpO2; 1 because never monitored.',
      '7 cases were analysed (chosen, and in the results). Left out before: 1 because outside the chosen days.',
    ]);
  });
});
