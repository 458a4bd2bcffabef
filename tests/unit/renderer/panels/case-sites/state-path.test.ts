import { describe, expect, it } from 'vitest';
import { stateMs, statePath, xOf, type Strip } from '../../../../../renderer/panels/case-sites/state-path.ts';

const strip: Strip = { window: { startMs: 0, endMs: 1000 }, widthPx: 100, topPx: 10, heightPx: 5, leastPx: 2 };
const span = (state: string, startMs: number, endMs: number) => ({ state, startMs, endMs });

describe('stretches of time as boxes', () => {
  it('stand where their times are, cut at the window', () => {
    expect(statePath([span('lost', -500, 100), span('other', 100, 200), span('lost', 500, 700), span('lost', 900, 2000)], 'lost', strip)).toBe('M0 10H10V15H0ZM50 10H70V15H50ZM90 10H100V15H90Z');
    expect(statePath([span('lost', 2000, 3000), span('lost', -20, 0)], 'lost', strip)).toBe('');
    expect(xOf(250, strip)).toBe(25);
  });

  it('are never thinner than a short loss needs to be seen, also at the ends', () => {
    expect(statePath([span('lost', 500, 501)], 'lost', strip)).toBe('M49.05 10H51.05V15H49.05Z');
    expect(statePath([span('lost', 0, 1)], 'lost', strip)).toBe('M0 10H2V15H0Z');
    expect(statePath([span('lost', 999, 1000)], 'lost', strip)).toBe('M98 10H100V15H98Z');
  });

  it('are one box where they touch on the screen, so that thousands stay a short path', () => {
    const many = Array.from({ length: 5000 }, (_, i) => span('lost', i * 0.2, i * 0.2 + 0.1));
    expect(statePath(many, 'lost', strip)).toBe('M0 10H100V15H0Z');
  });

  it('add up by state', () => {
    expect(stateMs([span('a', 0, 10), span('b', 10, 15), span('a', 15, 17)], 'a')).toBe(12);
  });
});
