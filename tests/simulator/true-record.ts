import type { CaseRecord } from '../../core/model/case.ts';
import { channelAt, type Cell } from '../builders/channel.ts';
import { caseOf } from '../builders/case-record.ts';
import { drugOf } from '../builders/drug.ts';
import type { Random } from './random.ts';
import type { TrueCase } from './true-case.ts';

/** How a lost value stands in the record: an empty cell, a filler, or no row at all. */
export type LostAs = null | '---' | 'no row';

/** Returns a case record as a faultless import would hand it over, so that the analysis can be judged without the import. */
export function recordOf(random: Random, truth: TrueCase, lostAs: LostAs): CaseRecord {
  const layout = lostAs === 'no row' ? 'long' : 'wide';
  const stopped = (t: number): boolean => truth.recordGaps.some((g) => t >= g.startMs && t < g.endMs);
  const cells = (isLost: (t: number) => boolean, value: () => number): [number, Cell][] => truth.rowMs.map((t) => [t / 1000, stopped(t) ? 'no row' : isLost(t) ? lostAs : value()]);
  const channels = truth.sites.flatMap((site) => {
    const isLost = (t: number): boolean => t < site.onMs || site.losses.some((l) => t >= l.startMs && t < l.endMs);
    const of = { site: site.site, layout } as const;
    return [
      channelAt({ quantity: 'spo2', ...of }, cells(isLost, () => Math.round(random.between(93, 100)))),
      channelAt({ quantity: 'pulse-rate', ...of }, cells(isLost, () => Math.round(66 + 2 * random.normal()))),
      ...(truth.hasPerfusion ? [channelAt({ quantity: 'perfusion-index', ...of }, cells(isLost, () => random.between(1, 4)))] : []),
    ];
  });
  const heart = truth.hasHeartRate ? [channelAt({ quantity: 'heart-rate', layout }, cells(() => false, () => Math.round(66 + 2 * random.normal())))] : [];
  return caseOf({ caseId: truth.caseId, channels: [...channels, ...heart], drugs: truth.boluses.map((b, i) => drugOf({ inn: b.inn, atS: b.atMs / 1000, amount: b.amount, unit: b.unit, drugId: `drug ${i}` })) });
}
