import type { CaseEvent } from '../../core/model/event.ts';
import type { CaseRecord } from '../../core/model/case.ts';
import type { Channel } from '../../core/model/channel.ts';
import type { OnsetPattern } from '../../core/model/onset-evidence.ts';
import type { Site } from '../../core/model/site.ts';
import { caseOf } from '../builders/case-record.ts';
import { channelAt, type Cell } from '../builders/channel.ts';
import { eventOf } from '../builders/event.ts';
import type { Random } from './random.ts';

/*
 * Signals whose truth is known in continuous time, for what is judged beyond the bounds of a loss: how it began, a display
 * that went on showing an old value, and one sensor that comes later than another.
 */

/** A loss with the way in which it was made to begin. */
export interface MadeLoss {
  readonly startS: number;
  readonly endS: number;
  readonly made: Extract<OnsetPattern, 'fading' | 'abrupt' | 'cuff' | 'unsteady'>;
}

/** Sensor, ECG, cuff and temperature with losses that began in known ways. */
export interface MadeOnsets {
  readonly record: CaseRecord;
  readonly losses: readonly MadeLoss[];
  readonly isCold: boolean;
  readonly cuffCycleS: number;
}

/** Far enough apart that no loss lies in the window of another. */
const APART_S = 900;
const UNSTEADY_LOSSES_S = [100, 75, 50, 25] as const;

/** Returns a case of several hours in which each loss was made to begin in one way only. */
export function makeOnsets(random: Random, everyS: number): MadeOnsets {
  const cuffCycleS = random.pick([300, 600]);
  const losses: MadeLoss[] = [];
  const kinds: readonly MadeLoss['made'][] = everyS <= 5 ? ['fading', 'abrupt', 'cuff', 'unsteady'] : ['fading', 'abrupt', 'cuff'];
  const hasCuffLosses = random.chance(0.6);
  let atS = 1200;
  for (let i = 0; i < 9; i++) {
    const made = random.pick(kinds.filter((kind) => kind !== 'cuff'));
    // Well away from any measurement, and longer than a cuff occludes.
    losses.push({ startS: atS, endS: atS + 120 + 60 * random.int(0, 4), made });
    atS += APART_S + cuffCycleS;
  }
  const endS = atS + 600;
  const cuffAtS: number[] = [];
  for (let t = 200; t < endS; t += cuffCycleS) cuffAtS.push(t);
  if (hasCuffLosses) {
    for (const stampS of cuffAtS) {
      const loss: MadeLoss = { startS: stampS - 10 - 50, endS: stampS - 10, made: 'cuff' };
      const isClear = losses.every((l) => l.made === 'cuff' || loss.endS < l.startS - 400 || loss.startS > l.endS + 120);
      if (loss.startS > 600 && isClear) losses.push(loss);
    }
  }
  losses.sort((a, b) => a.startS - b.startS);
  const level = random.between(2, 5);
  const isCold = random.chance(0.5);
  const rows: number[] = [];
  for (let t = 0; t < endS; t += everyS) rows.push(t);
  const isLost = (t: number) =>
    losses.some((l) => t >= l.startS && t < l.endS) ||
    losses.some((l) => l.made === 'unsteady' && UNSTEADY_LOSSES_S.some((before) => t >= l.startS - before && t < l.startS - before + Math.max(everyS, 3)));
  const indexAt = (t: number): number => {
    const fade = losses.find((l) => l.made === 'fading' && t < l.startS && t >= l.startS - 150);
    const share = fade === undefined ? 1 : 1 - (0.8 * (t - (fade.startS - 150))) / 150;
    return Math.round(level * share * (1 + 0.04 * random.normal()) * 100) / 100;
  };
  const cells = (value: (t: number) => number): [number, Cell][] => rows.map((t) => [t, isLost(t) ? null : value(t)]);
  const channels = [
    channelAt({ quantity: 'spo2', site: 'finger' }, cells(() => Math.round(random.between(95, 99)))),
    channelAt({ quantity: 'perfusion-index', site: 'finger' }, cells(indexAt)),
    channelAt({ quantity: 'heart-rate' }, rows.map((t): [number, Cell] => [t, Math.round(70 + 2 * random.normal())])),
    channelAt({ quantity: 'nibp-mean', layout: 'long' }, cuffAtS.map((t): [number, Cell] => [t, Math.round(random.between(60, 100))])),
    channelAt({ quantity: 'temp-core', layout: 'long' }, rows.filter((t) => t % 300 === 0).map((t): [number, Cell] => [t, isCold ? 35.2 : 36.6])),
  ];
  return { record: caseOf({ channels }), losses, isCold, cuffCycleS };
}

/** A display that went on showing its last value while the signal was gone. */
export interface MadeHold {
  readonly record: CaseRecord;
  readonly startS: number;
  readonly endS: number;
}

/** Returns an hour at one value a second in which sensor, rate and index stood still from `startS` to `endS` while the ECG went on. */
export function makeHold(random: Random, lastsS: number): MadeHold {
  const startS = random.int(600, 2400);
  const endS = startS + lastsS;
  const rows = Array.from({ length: 3600 }, (_, t) => t);
  const spo2: [number, Cell][] = [];
  const pulse: [number, Cell][] = [];
  const index: [number, Cell][] = [];
  for (const t of rows) {
    const isHeld = t > startS && t <= endS;
    const before = (list: readonly [number, Cell][]): Cell => list[list.length - 1]?.[1] ?? null;
    // Neighbours always differ, so that nothing but the hold stands still.
    spo2.push([t, isHeld ? before(spo2) : 95 + (t % 4)]);
    pulse.push([t, isHeld ? before(pulse) : 70 + (t % 3)]);
    index.push([t, isHeld ? before(index) : 2 + (t % 211) / 100]);
  }
  const channels: Channel[] = [
    channelAt({ quantity: 'spo2', site: 'finger' }, spo2),
    channelAt({ quantity: 'pulse-rate', site: 'finger' }, pulse),
    channelAt({ quantity: 'perfusion-index', site: 'finger' }, index),
    channelAt({ quantity: 'heart-rate' }, rows.map((t) => [t, 70 + (t % 3)] as const)),
  ];
  return { record: caseOf({ channels }), startS, endS };
}

/** Two sensors worn at once, the second later than the first by a known time. */
export interface MadePair {
  readonly record: CaseRecord;
  readonly lagS: number;
  readonly offsetPoints: number;
  readonly events: readonly CaseEvent[];
}

/** Returns two hours with a few desaturations, seen by a first sensor at once and by a second one `lagS` later, with noise, rounding and losses. */
export function makePair(random: Random, everyS: number, sites: readonly [Site, Site] = ['finger', 'ear lobe']): MadePair {
  const lagS = Math.round(random.between(-60, 60) * 10) / 10;
  const offsetPoints = random.pick([-2, -1, 0, 1, 2]);
  const dips = Array.from({ length: random.int(2, 4) }, (_, i) => ({ atS: 1200 + i * 1500 + random.between(-200, 200), depth: random.between(7, 20), fallS: random.between(25, 70), riseS: random.between(15, 50) }));
  const truth = (t: number): number => {
    let v = 98;
    for (const { atS, depth, fallS, riseS } of dips) {
      const x = t - atS;
      v -= depth * (x < 0 ? Math.exp(-((x / fallS) ** 2)) : Math.exp(-((x / riseS) ** 2)));
    }
    return v;
  };
  const losses = Array.from({ length: 6 }, () => {
    const startS = random.between(300, 6600);
    return { startS, endS: startS + random.between(5, 40), first: random.chance(0.5) };
  });
  const rows: number[] = [];
  for (let t = 0; t < 7200; t += everyS) rows.push(t);
  const cells = (isFirst: boolean): [number, Cell][] =>
    rows.map((t) => {
      const isLost = losses.some((l) => l.first === isFirst && t >= l.startS && t < l.endS);
      const shown = isFirst ? truth(t) : truth(t - lagS) - offsetPoints;
      return [t, isLost ? null : Math.min(100, Math.round(shown + 0.3 * random.normal()))];
    });
  const channels = [
    channelAt({ quantity: 'spo2', site: sites[0] }, cells(true)),
    channelAt({ quantity: 'spo2', site: sites[1] }, cells(false)),
    channelAt({ quantity: 'heart-rate' }, rows.map((t): [number, Cell] => [t, Math.round(70 + 2 * random.normal())])),
  ];
  const events = [eventOf({ kind: 'anaesthesia start', atS: 0 })];
  return { record: caseOf({ channels, events }), lagS, offsetPoints, events };
}
