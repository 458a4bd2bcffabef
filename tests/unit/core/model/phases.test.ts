import { describe, expect, it } from 'vitest';
import type { EventKind } from '../../../../core/model/event.ts';
import { buildPhases } from '../../../../core/model/phases.ts';
import { eventOf } from '../../../builders/event.ts';

const phases = (...events: readonly (readonly [EventKind, number])[]) => buildPhases(events.map(([kind, atS]) => eventOf({ kind, atS, text: kind })), 10_000_000).map(({ text, startMs, endMs, isOpen }) => [text, startMs / 1000, endMs / 1000, isOpen]);

describe('phases of an anaesthetic', () => {
  it('are the parts between its recorded events', () => {
    expect(phases(['anaesthesia start', 0], ['surgery start', 900], ['surgery end', 5000], ['anaesthesia end', 5600])).toEqual([
      ['anaesthesia before surgery', 0, 900, false],
      ['surgery', 900, 5000, false],
      ['anaesthesia after surgery', 5000, 5600, false],
    ]);
  });
  it('say where an end is not on record, and begin at nothing but an event', () => {
    expect(phases(['surgery start', 900])).toEqual([['surgery, end not on record', 900, 10_000, true]]);
    expect(phases(['surgery start', 900], ['anaesthesia end', 5600])).toEqual([['surgery, end not on record', 900, 5600, true]]);
    expect(phases(['surgery end', 900])).toEqual([['anaesthesia after surgery, end not on record', 900, 10_000, true]]);
    expect(phases(['anaesthesia start', 100], ['anaesthesia end', 700])).toEqual([['anaesthesia', 100, 700, false]]);
    expect(phases()).toEqual([]);
  });
  it('go on where what came later is kept back, and only then', () => {
    const events = [eventOf({ kind: 'surgery start', atS: 900, text: 'surgery start' })];
    expect(buildPhases(events, 2_000_000, true).map(({ text, endMs, isOpen }) => [text, endMs, isOpen])).toEqual([['surgery, going on', 2_000_000, true]]);
    const over = [...events, eventOf({ kind: 'anaesthesia end', atS: 1500, text: 'anaesthesia end' })];
    expect(buildPhases(over, 2_000_000, true).map(({ text }) => text)).toEqual(['surgery, end not on record']);
  });
  it('take the first of several starts and the last of several ends', () => {
    expect(phases(['surgery start', 900], ['surgery end', 1000], ['surgery start', 1100], ['surgery end', 2000])[0]).toEqual(['surgery', 900, 2000, false]);
  });
  it('have a shorter name for where there is no room', () => {
    const events = (['anaesthesia start', 'surgery start', 'surgery end'] as const).map((kind, i) => eventOf({ kind, atS: i * 900, text: kind }));
    expect(buildPhases(events, 10_000_000).map(({ shortText }) => shortText)).toEqual(['before surgery', 'surgery', 'after surgery']);
  });
  it('leave out what contradicts itself', () => {
    expect(phases(['surgery end', 800], ['surgery start', 900], ['anaesthesia end', 950])).toEqual([]);
  });
});
