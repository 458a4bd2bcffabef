import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runAt, runNear, runSpans, statusesOf } from '../../../../renderer/timeline/status-runs.ts';

const none = { implausible: [], flagged: [], held: [], weak: [], disputed: [] };

describe('what stands at an instant', () => {
  const runs = { ...none, weak: [1000, 3000, 5000, 5000], held: [10_000, 20_000] };
  it('is the run that holds it, its end not included', () => {
    expect([999, 1000, 2999, 3000, 5000, 15_000].map((ms) => runAt(runs, ms)?.status)).toEqual([undefined, 'weak', 'weak', undefined, 'weak', 'held']);
  });
  it('is for a pointer also a run a little away, and no run far away', () => {
    expect(runNear(runs, 900, 200)).toEqual({ status: 'weak', startMs: 1000, endMs: 3000 });
    expect(runNear(runs, 20_100, 200)).toEqual({ status: 'held', startMs: 10_000, endMs: 20_000 });
    expect(runNear(runs, 700, 200)).toBeNull();
  });
  it('names the statuses that occur at all', () => {
    expect(statusesOf(runs)).toEqual(['weak', 'held']);
  });
});

describe('runs as drawn', () => {
  it('shows a run of a second among ten hours', () => {
    expect(runSpans([18_000_000, 18_001_000], { startMs: 0, endMs: 36_000_000 }, 1000, 2)).toEqual([{ leftPx: 500, rightPx: 502 }]);
  });
  it('begins with a run that reaches into the window from before', () => {
    expect(runSpans([0, 50_000, 60_000, 70_000, 90_000, 95_000], { startMs: 40_000, endMs: 80_000 }, 400, 2)).toEqual([{ leftPx: -8, rightPx: 100 }, { leftPx: 200, rightPx: 300 }]);
  });
  it('costs no more than the pixels there are, and covers every run in the window', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.integer({ min: 1, max: 5000 }), fc.integer({ min: 0, max: 5000 })), { maxLength: 600 }), fc.integer({ min: 0, max: 500_000 }), fc.integer({ min: 1000, max: 900_000 }), (steps, startMs, lengthMs) => {
        const edges: number[] = [];
        let at = 0;
        for (const [gap, length] of steps) {
          edges.push(at + gap, at + gap + length);
          at += gap + length;
        }
        const window = { startMs, endMs: startMs + lengthMs };
        const spans = runSpans(edges, window, 300, 2);
        expect(spans.length).toBeLessThanOrEqual(160);
        for (let i = 0; i < edges.length; i += 2) {
          const middle = ((edges[i] ?? NaN) + (edges[i + 1] ?? NaN)) / 2;
          if (middle < window.startMs || middle > window.endMs) continue;
          const px = ((middle - startMs) / lengthMs) * 300;
          expect(spans.some((span) => px >= span.leftPx - 1e-6 && px <= span.rightPx + 1e-6)).toBe(true);
        }
      }),
      { numRuns: 200 },
    );
  });
});
