import { expect, test } from 'vitest';
import { isGoingOn, recordUntil } from '../../../../core/model/record-until.ts';
import { drugOf } from '../../../builders/drug.ts';
import { eventOf } from '../../../builders/event.ts';
import { buildCaseRecord, buildChannel } from '../../../builders/stored-case.ts';

test('a record until an instant holds what was recorded at it or before, and nothing after', () => {
  const record = buildCaseRecord({
    channels: [buildChannel([98, 97, 96, 95]), buildChannel([7], { channelId: 'etco2', quantity: 'etco2', site: null, tMs: Float64Array.of(3000) })],
    events: [eventOf({ kind: 'position', term: 'arms tucked', atS: 1, endS: 3 }), eventOf({ kind: 'surgery start', atS: 2 }), eventOf({ kind: 'surgery end', atS: 3 })],
    drugs: [drugOf({ inn: 'ephedrine', atS: 2 }), drugOf({ inn: 'phenylephrine', atS: 2.001 })],
  });
  const then = recordUntil(record, 2000);
  expect(then.channels.map(({ channelId, tMs, value, mark, line }) => [channelId, [...tMs], [...value], mark.length, line.length])).toEqual([['spo2@finger', [0, 1000, 2000], [98, 97, 96], 3, 3]]);
  expect(then.events.map(({ kind, endMs }) => [kind, endMs])).toEqual([['position', null], ['surgery start', null]]);
  expect(then.drugs.map(({ inn }) => inn)).toEqual(['ephedrine']);
  expect(recordUntil(record, 3000)).toEqual({ ...record, recordedUntilMs: 3000 });
  expect(record.channels[0]!.tMs).toHaveLength(4);
});

test('what nothing ends by the instant goes on; what ends at it, or before, does not', () => {
  const arms = eventOf({ kind: 'position', term: 'arms tucked', atS: 1, endS: 3 });
  const then = recordUntil(buildCaseRecord({ events: [arms] }), 2000);
  expect(isGoingOn(then, { kind: 'position', atMs: 1000, endMs: 2000 }, 2000)).toBe(true);
  expect(isGoingOn(then, { kind: 'tourniquet', atMs: 1000, endMs: 1500 }, 2000)).toBe(false);
  expect(isGoingOn(recordUntil(buildCaseRecord({ events: [arms] }), 3000), { kind: 'position', atMs: 1000, endMs: 3000 }, 3000)).toBe(false);
  // A whole record stops because there is no more of it.
  expect(isGoingOn(buildCaseRecord({ events: [arms] }), { kind: 'position', atMs: 1000, endMs: 2000 }, 2000)).toBe(false);
});
