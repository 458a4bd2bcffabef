import { describe, expect, it } from 'vitest';
import { rememberWidths, spreadLabels } from '../../../../renderer/timeline/label-layout.ts';

describe('spreadLabels', () => {
  it('leaves labels that do not touch where they wish to stand', () => {
    expect(spreadLabels([{ wantedPx: 20, sizePx: 10 }, { wantedPx: 80, sizePx: 10 }], 100)).toEqual([20, 80]);
  });
  it('parts two that wish for one place evenly, and keeps the order given for equals', () => {
    expect(spreadLabels([{ wantedPx: 50, sizePx: 10 }, { wantedPx: 50, sizePx: 10 }], 100)).toEqual([45, 55]);
  });
  it('stays inside the lane', () => {
    expect(spreadLabels([{ wantedPx: 1, sizePx: 16 }, { wantedPx: 2, sizePx: 16 }, { wantedPx: 99, sizePx: 16 }], 100)).toEqual([8, 24, 92]);
  });
  it('puts a label without a wish at the end', () => {
    expect(spreadLabels([{ wantedPx: NaN, sizePx: 10 }, { wantedPx: 10, sizePx: 10 }], 100)).toEqual([95, 10]);
  });
  it('shares the space when there is too little of it', () => {
    expect(spreadLabels(Array.from({ length: 4 }, () => ({ wantedPx: 10, sizePx: 20 })), 40)).toEqual([5, 15, 25, 35]);
  });
});

describe('rememberWidths', () => {
  it('measures each text once', () => {
    let calls = 0;
    const widthOf = rememberWidths((text) => {
      calls++;
      return text.length;
    });
    expect([widthOf('ab'), widthOf('ab'), widthOf('abc')]).toEqual([2, 2, 3]);
    expect(calls).toBe(2);
  });
});
