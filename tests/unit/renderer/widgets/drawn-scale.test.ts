import { expect, it } from 'vitest';
import { drawnScale } from '../../../../renderer/widgets/drawn-scale.ts';

/** An element as a page of that zoom has it: its own width as laid out, and that of its rectangle as drawn. */
function element(laidOutPx: number, drawnPx: number): HTMLElement {
  // Only these two are read; there is no page in this test.
  return { offsetWidth: laidOutPx, getBoundingClientRect: () => ({ width: drawnPx }) } as HTMLElement;
}

it('is how much wider an element is drawn than it is laid out', () => {
  expect(drawnScale(element(1000, 1400))).toBe(1.4);
  expect(drawnScale(element(1000, 1000))).toBe(1);
});

it('is 1 while the element has no size', () => {
  expect(drawnScale(element(0, 0))).toBe(1);
});
