import type { PartChannel } from '../../core/model/case-part.ts';
import { seededRandom } from '../simulator/random.ts';
import { anyDevice, makeRate, record } from '../simulator/true-clocks.ts';

const START_MS = Date.UTC(2031, 2, 4, 8);
const LASTS_S = 5400;
/** A loss of six minutes that follows a bolus by four minutes of true time. */
const LOSS_S = [3000, 3360] as const;
const BOLUS_S = 2760;

function stamp(ms: number): string {
  return new Date(START_MS + ms).toISOString().slice(0, 19).replace('T', ' ');
}

/**
 * Returns the files of one anaesthetic: an oximeter's trends, a record keeper's heart rate, and drugs written by the record keeper,
 * whose clock is ahead by so many seconds. The bolus stands after the loss that it preceded where the clock is wrong by four minutes or more.
 */
export function twoClockCase(aheadS: number, seed = 11): Record<string, string> {
  const random = seededRandom(seed);
  const rate = makeRate(random, LASTS_S);
  const pulse = record(random, rate, { ...anyDevice(random, 'pulse-rate', 10, LASTS_S, 0), lost: 0, fromS: 0, toS: LASTS_S });
  const heart = record(random, rate, { ...anyDevice(random, 'heart-rate', 10, LASTS_S, aheadS), fromS: 0, toS: LASTS_S });
  const rows = (channel: PartChannel, cells: (tMs: number, value: number) => string): string[] => [...channel.tMs].map((tMs, i) => `${stamp(tMs)},${cells(tMs, channel.value[i] ?? NaN)}`);
  const isLost = (tMs: number): boolean => tMs >= LOSS_S[0] * 1000 && tMs < LOSS_S[1] * 1000;
  return {
    'oximeter.csv': ['Time,SpO2,Pulse rate', ...rows(pulse, (tMs, value) => (isLost(tMs) ? '---,---' : `${96 + (Math.round(tMs / 10_000) % 3)},${value}`))].join('\n'),
    'keeper.csv': ['Time,HR', ...rows(heart, (_, value) => (Number.isNaN(value) ? '' : String(value)))].join('\n'),
    'keeper-drugs.csv': ['Time,Drug,Dose,Unit', `${stamp((BOLUS_S + aheadS) * 1000 + 7000)},phenylephrine,100,mcg`].join('\n'),
  };
}
