import type { PartChannel } from '../../core/model/case-part.ts';
import type { Quantity } from '../../core/model/quantity.ts';
import type { Random } from './random.ts';

/*
 * A heart in continuous time, and devices that watch it: each with its own clock, averaging, rhythm of recording, noise and
 * losses. What a clock must be set by is known.
 */

/** A true rate, one value a second. */
export type TrueRate = Float64Array;

/** Returns a heart rate over so many seconds: a slow course, breathing, short responses to drugs and stimuli, and its own unrest. */
export function makeRate(random: Random, lastsS: number, level = random.between(55, 85)): TrueRate {
  const rate = new Float64Array(lastsS);
  let slow = 0;
  let quick = 0;
  for (let t = 0; t < lastsS; t++) {
    slow += 0.03 * random.normal() - slow / 1800;
    quick += 0.35 * random.normal() - quick / 20;
    rate[t] = level + 6 * slow + quick + 1.2 * Math.sin((2 * Math.PI * t) / 5);
  }
  for (let at = random.int(60, 400); at < lastsS; at += random.int(240, 1500)) {
    const size = random.between(-14, 18);
    const riseS = random.between(10, 60);
    const fallS = random.between(60, 400);
    for (let t = at; t < Math.min(lastsS, at + 2000); t++) rate[t] = (rate[t] ?? 0) + size * (1 - Math.exp(-(t - at) / riseS)) * Math.exp(-(t - at) / fallS);
  }
  return rate;
}

/** How one device writes down a rate. */
export interface Device {
  readonly quantity: Quantity;
  readonly everyS: number;
  /** Mean over so many seconds before the instant that is written. */
  readonly averagingS: number;
  /** A stored value is the display's at that instant, or the mean over the interval before it. */
  readonly making: 'snapshot' | 'mean';
  readonly noise: number;
  /** Share of the time without a value. */
  readonly lost: number;
  /** Added to the true time by its clock: positive is ahead. */
  readonly clockAheadS: number;
  readonly fromS: number;
  readonly toS: number;
}

/** Returns what a device recorded, its times by its own clock in ms after the truth's start. */
export function record(random: Random, rate: TrueRate, device: Device): PartChannel {
  const t: number[] = [];
  const v: number[] = [];
  const phase = random.between(0, device.everyS);
  let lostUntil = -1;
  const meanBefore = (at: number, seconds: number): number => {
    let sum = 0;
    let n = 0;
    for (let s = Math.max(0, Math.floor(at - seconds) + 1); s <= Math.min(rate.length - 1, Math.floor(at)); s++) {
      sum += rate[s] ?? 0;
      n++;
    }
    return sum / Math.max(1, n);
  };
  for (let at = device.fromS + phase; at < device.toS; at += device.everyS) {
    if (at >= lostUntil && random.chance((device.lost * device.everyS) / 60)) lostUntil = at + random.between(20, 100);
    const own = meanBefore(at, device.making === 'mean' ? Math.max(device.averagingS, device.everyS) : device.averagingS) + device.noise * random.normal();
    t.push(Math.round((at + device.clockAheadS) * 1000));
    v.push(at < lostUntil ? NaN : Math.round(own));
  }
  return {
    quantity: device.quantity, label: device.quantity, unit: '/min', site: null, sensor: '', layout: 'wide',
    tMs: Float64Array.from(t), value: Float64Array.from(v), mark: new Uint8Array(t.length), line: Uint32Array.from(t, (_, i) => i + 2),
  };
}

/** Returns a device as they are met: a monitor's archive, a record keeper, an oximeter's own memory. */
export function anyDevice(random: Random, quantity: Quantity, everyS: number, lastsS: number, clockAheadS: number): Device {
  return {
    quantity, everyS, clockAheadS,
    averagingS: random.pick([4, 8, 8, 12]),
    making: everyS >= 10 && random.chance(0.3) ? 'mean' : 'snapshot',
    noise: random.between(0.2, 1.5),
    lost: random.between(0, 0.1),
    fromS: random.int(0, 300),
    toS: lastsS - random.int(0, 300),
  };
}
