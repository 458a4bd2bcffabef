import { expect, it } from 'vitest';
import { EVENT_KINDS } from '../../../../core/model/event.ts';
import dictionary from '../../../../core/terms/dictionary.json' with { type: 'json' };
import { parseEvent, parseEvents } from '../../../../core/terms/parse-event.ts';

const terms = (text: string): string[] => parseEvents(text).map((event) => `${event.term} ${event.phase}`);

it('gives every event of a text in its order', () => {
  expect(terms('patient turned prone and arms tucked')).toEqual(['prone start', 'arms tucked start']);
  expect(terms('Arms untucked; supine; pulse ox removed')).toEqual(['arms tucked end', 'supine start', 'sensor off moment']);
  expect(terms('On bypass. Cross clamp on.')).toEqual(['bypass start', 'cross-clamp start']);
  expect(terms('lithotomy, steep Trendelenburg')).toEqual(['lithotomy start', 'head down start']);
});

it('gives the first as the event', () => {
  expect(parseEvent('lithotomy, steep Trendelenburg').term).toBe('lithotomy');
  expect(parseEvent('')).toEqual({ kind: 'note', term: '', phase: 'moment', site: null });
});

it('keeps a negation or a plan to its own clause', () => {
  expect(terms('No change in BP, turned prone')).toEqual(['prone start']);
  expect(terms('turned prone, plan for arms tucked')).toEqual(['prone start']);
  expect(terms('not turned prone')).toEqual([]);
});

it('names the site a sensor went to, not the one it left', () => {
  expect(parseEvent('sensor moved from finger to nasal ala').site).toBe('nasal ala');
  expect(parseEvent('sensor moved to ear from finger').site).toBe('ear lobe');
});

it('leaves "turned" out beside the position turned to', () => {
  expect(terms('turned lateral left')).toEqual(['lateral left start']);
  expect(terms('turned')).toEqual(['turned moment']);
});

it('lists in the groups only positions that can start', () => {
  const starting = new Set(dictionary.eventPatterns.filter((pattern) => pattern.kind === 'position').map((pattern) => pattern.term));
  for (const term of Object.values(dictionary.positionGroups).flat()) expect([term, starting.has(term)]).toEqual([term, true]);
});

it('can report every kind of event', () => {
  const kinds = new Set([...dictionary.eventPatterns.map((pattern) => pattern.kind), parseEvent('ICG given').kind]);
  expect(EVENT_KINDS.filter((kind) => !kinds.has(kind))).toEqual([]);
});
