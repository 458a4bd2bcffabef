import type { CohortCaution } from '../../../core/model/cohort-caution.ts';

const TEXTS: Readonly<Record<CohortCaution, string>> = {
  'association is not cause': 'Association is not cause: a link in time does not show that a drug or a position caused a loss. Low pressure predicts loss by itself, and is the usual reason for a vasopressor.',
  'fewer than 10 units': 'Fewer than 10 units: the interval is too narrow, do not lean on it.',
  'coarse sampling': 'The recording interval is a quarter of the median length or more: the lengths are known only between limits, and the boxes in the table count.',
  'longer losses see more done': 'The longer a loss lasts, the more is done: what was done may follow from the length.',
  'times typed by hand': 'Times typed by hand: order and distance are uncertain by minutes.',
  'pointwise band': 'The band holds at each lag by itself, not as a whole.',
};

/** Returns the cautions as sentences, the one on cause first and always there. */
export function cautionTexts(cautions: readonly CohortCaution[]): string[] {
  const all: CohortCaution[] = ['association is not cause', ...cautions];
  return [...new Set(all)].map((caution) => TEXTS[caution]);
}

/** Returns the cautions of something that links nothing: as sentences, as they come. */
export function plainCautionTexts(cautions: readonly CohortCaution[]): string[] {
  return [...new Set(cautions)].map((caution) => TEXTS[caution]);
}
