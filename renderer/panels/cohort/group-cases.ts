import { WHOLE_CASE, type CaseBurdenRow } from '../../../core/model/cohort-burden.ts';
import type { RestorationGroup } from '../../../core/model/cohort-restoration.ts';
import { countText } from '../../format/number-text.ts';
import { durationText } from '../../format/time-text.ts';
import { placeText } from './cohort-words.ts';
import type { PointCase } from './point-cases.tsx';

/** Returns the cases behind a group, a row for each of its sensors that lost information; the longest loss first. */
export function casesOfGroup(group: Pick<RestorationGroup, 'kind' | 'of' | 'caseKeys'>, cases: readonly CaseBurdenRow[]): PointCase[] {
  const keys = new Set(group.caseKeys);
  const here = cases.filter((one) => keys.has(one.caseKey) && one.place !== WHOLE_CASE && one.dropouts > 0 && (group.kind !== 'site' || one.place === group.of));
  return [...here]
    .sort((a, b) => (b.longestMidMs ?? 0) - (a.longestMidMs ?? 0))
    .map((one) => ({ caseKey: one.caseKey, caseId: one.caseId, figure: `${placeText(one.place)}: ${countText(one.dropouts, 'dropout', 'dropouts')}, the longest ${durationText(one.longestMidMs)}` }));
}
