/*
 * Onset patterns against values worked out outside the program: `tests/fixtures/check-values.json` (each entry names its source).
 */
import { describe, expect } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../core/model/parameters.ts';
import type { CaseEvent } from '../../../core/model/event.ts';
import { analyzeCase } from '../../../core/pipeline/analyze-case.ts';
import { caseOf } from '../../builders/case-record.ts';
import { channelAt } from '../../builders/channel.ts';
import { eventOf } from '../../builders/event.ts';
import { check } from './check-values.ts';

const LOSS_S = 1200;
/** Patterns of a loss of a minute at the finger, 1 Hz, behind the given course of the perfusion index. */
function patterns(perfusion: (s: number) => number, events: readonly CaseEvent[] = []): readonly string[] {
  const seconds = Array.from({ length: 1800 }, (_, s) => s);
  const isLost = (s: number) => s >= LOSS_S && s < LOSS_S + 60;
  const spo2 = channelAt({ quantity: 'spo2', site: 'finger' }, seconds.map((s) => [s, isLost(s) ? null : 97 + (s % 2)] as const));
  const index = channelAt({ quantity: 'perfusion-index', site: 'finger' }, seconds.map((s) => [s, isLost(s) ? null : perfusion(s)] as const));
  return analyzeCase(caseOf({ channels: [spo2, index], events }), DEFAULT_PARAMETERS, '0.0.0').sites[0]!.dropouts[0]!.patterns;
}

describe('onset patterns', () => {
  check('pattern-fading', ({ given, expect: wanted }) => {
    const line = (s: number) => (s < LOSS_S - 180 ? given.pi_3min_before : given.pi_3min_before + ((given.pi_last - given.pi_3min_before) * (s - LOSS_S + 180)) / 180);
    expect(patterns(line).includes('fading')).toBe(wanted);
    expect(patterns((s) => (s < LOSS_S - 60 ? given.pi_3min_before : given.pi_last)).includes('fading')).toBe(wanted);
    expect(patterns(() => given.pi_3min_before)).not.toContain('fading');
  });

  check('pattern-abrupt', ({ given, expect: wanted }) => {
    expect(patterns((s) => (s < LOSS_S - 30 ? given.pi_median_5min : given.pi_last_30s)).includes('abrupt')).toBe(wanted);
    expect(patterns((s) => (s < LOSS_S - 30 ? given.pi_median_5min : 0.79 * given.pi_median_5min))).not.toContain('abrupt');
  });

  check('pi-minimum', ({ given }) => {
    expect(patterns(() => given.pi)).toContain('fading');
  });

  check('pi-finger-change', () => {
    // Fingers agree poorly (ICC 0.474), so a step of the index when the sensor is moved is no fading.
    const step = (s: number) => (s < LOSS_S - 120 ? 4 : 1.5);
    expect(patterns(step)).toContain('fading');
    expect(patterns(step, [eventOf({ kind: 'sensor moved', atS: LOSS_S - 120 })])).not.toContain('fading');
  });

  check('pi-phenylephrine-headup', () => {
    // A vasopressor may raise the index sevenfold: a rise before a loss must not be read as fading.
    expect(patterns((s) => (s < LOSS_S - 120 ? 1 : 7.07))).not.toContain('fading');
  });

  check('pi-ephedrine-spinal', ({ expect: { before, after } }) => {
    // A bolus may lower the index by a quarter: no fade, and no sign that it does so always.
    expect(patterns((s) => (s < LOSS_S - 60 ? before : after))).not.toContain('fading');
  });

  check('pi-coldpressor', ({ expect: { finger_fall_pct, ear_fall_pct } }) => {
    // Cold at the other hand: 48 % at the finger is just short of a fade, 2 % at the ear is none.
    const after = (fallPct: number) => patterns((s) => (s < LOSS_S - 60 ? 2 : 2 * (1 - fallPct / 100)));
    expect([after(finger_fall_pct), after(ear_fall_pct), after(finger_fall_pct + 2)].map((found) => found.includes('fading'))).toEqual([false, false, true]);
  });

  check('pi-arm-level', ({ expect: { lowered_pct, raised_pct } }) => {
    // The hand below the heart weakens the pulse as a fade does; above it the pulse is larger, not weaker.
    const after = (changePct: number) => patterns((s) => (s < LOSS_S - 60 ? 2 : 2 * (1 + changePct / 100))).includes('fading');
    expect([after(lowered_pct), after(raised_pct)]).toEqual([true, false]);
  });

  check('cuff-occlusion', ({ expect: [, longestS] }) => {
    expect(DEFAULT_PARAMETERS.cuffMaxS).toBeGreaterThanOrEqual(longestS);
  });

  check('cuff-interval-standard', ({ expect: minutes }) => {
    // At the standard cycle, losses of 40 s that end with each measurement are a cuff's, and their spacing says so.
    const seconds = Array.from({ length: 3600 }, (_, s) => s);
    const cycleS = minutes * 60;
    const spo2 = channelAt({ quantity: 'spo2', site: 'finger' }, seconds.map((s) => [s, s > 500 && s % cycleS >= cycleS - 40 ? null : 97 + (s % 2)] as const));
    const cuff = channelAt({ quantity: 'nibp-mean', layout: 'long' }, seconds.filter((s) => s % cycleS === 0).map((s) => [s, 70 + (s % 7)] as const));
    const dropouts = analyzeCase(caseOf({ channels: [spo2, cuff] }), DEFAULT_PARAMETERS, '0.0.0').sites[0]!.dropouts;
    expect(dropouts.length).toBeGreaterThan(5);
    for (const d of dropouts.filter((x) => x.firstGoodMs !== null)) expect([d.patterns, d.evidence.cuff!.isRegular]).toEqual([['cuff'], true]);
  });
});
