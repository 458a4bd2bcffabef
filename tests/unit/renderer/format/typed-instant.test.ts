import { describe, expect, it } from 'vitest';
import { createCaseClock } from '../../../../renderer/format/time-text.ts';
import { typedInstant } from '../../../../renderer/format/typed-instant.ts';

const dated = createCaseClock({ clock: 'absolute', epochMs: Date.UTC(2031, 3, 3, 6, 58, 12), originOffsetMs: 0, zone: 'Europe/London', zoneStated: true }); // 07:58:12 by the clock: summer time
const elapsed = createCaseClock({ clock: 'elapsed', epochMs: null, originOffsetMs: 5000, zone: 'UTC', zoneStated: false });
const night = createCaseClock({ clock: 'time of day', epochMs: null, originOffsetMs: 23 * 3_600_000, zone: 'UTC', zoneStated: false });

describe('a typed clock time', () => {
  it('is the instant that the case’s clock shows so', () => {
    expect(typedInstant('08:00:00', dated, 60_000)).toBe(108_000);
    expect(typedInstant('8:00', dated, 60_000)).toBe(108_000);
    expect(typedInstant('08:00:00.5', dated, 60_000)).toBe(108_500);
    expect(typedInstant('0:01:00', elapsed, 0)).toBe(55_000);
    expect(typedInstant('+0:01:00', elapsed, 0)).toBe(55_000);
  });
  it('comes back from what the clock wrote', () => {
    for (const clock of [dated, elapsed, night]) for (const ms of [0, 61_000, 3_599_000, 3_600_000, 7_000_000]) expect(typedInstant(clock.clock(ms).replace(/ \(.*/, ''), clock, ms)).toBe(ms);
  });
  it('is the nearest one across midnight', () => {
    expect(typedInstant('00:10:00', night, 3_500_000)).toBe(4_200_000); // 70 min after 23:00
    expect(typedInstant('23:50:00', night, 4_000_000)).toBe(3_000_000);
  });
  it('holds over the night in which clocks go back', () => {
    const autumn = createCaseClock({ clock: 'absolute', epochMs: Date.UTC(2031, 9, 26, 0, 0, 0), originOffsetMs: 0, zone: 'Europe/London', zoneStated: true }); // 01:00 summer time; 01:00 UTC is 01:00 again
    expect(autumn.clock(typedInstant('02:30:00', autumn, 0) ?? NaN)).toBe('02:30:00');
  });
  it('is refused where it is none', () => {
    for (const text of ['', '8', '08:61', '08:00:75', 'eight', '08.00.00']) expect(typedInstant(text, dated, 0)).toBeNull();
  });
});
