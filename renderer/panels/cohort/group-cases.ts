import { WHOLE_CASE, type CaseBurdenRow } from '../../../core/model/cohort-burden.ts';
import type { RestorationGroup } from '../../../core/model/cohort-restoration.ts';
import { countText } from '../../format/number-text.ts';
import { durationText } from '../../format/time-text.ts';
import { placeText } from './cohort-words.ts';
import type { PointCase } from './point-cases.tsx';

/** Returns the cases with a dropout at the sensor of a group, or at any; the longest first. */
export function casesOfGroup(group: Pick<RestorationGroup, 'kind' | 'of'>, cases: readonly CaseBurdenRow[]): PointCase[] {
  const here = cases.filter((one) => one.place !== WHOLE_CASE && one.dropouts > 0 && (group.kind !== 'site' || one.place === group.of));
  return [...here]
    .sort((a, b) => (b.longestMidMs ?? 0) - (a.longestMidMs ?? 0))
    .map((one) => ({ caseKey: one.caseKey, caseId: one.caseId, figure: `${placeText(one.place)}: ${countText(one.dropouts, 'dropout', 'dropouts')}, the longest ${durationText(one.longestMidMs)}` }));
}
