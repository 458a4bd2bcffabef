/**
 * What a result over cases has to be read with. The screen and every table say it in words beside the figures.
 * The first holds for every link, ratio and course, always.
 */
export const COHORT_CAUTIONS = [
  'association is not cause',
  /** An interval from so few units is too narrow. */
  'fewer than 10 units',
  /** The recording interval is a quarter of the median length or more: the curve between limits counts. */
  'coarse sampling',
  /** The longer a loss lasts, the more is done: what was done may follow from length. */
  'longer losses see more done',
  /** Order and distance of what was typed by hand are uncertain by minutes. */
  'times typed by hand',
  /** Each point of the band holds by itself, not the band as a whole. */
  'pointwise band',
] as const;
export type CohortCaution = (typeof COHORT_CAUTIONS)[number];

/** Units below which an interval is marked. Source: statistics 0, simulated coverage. */
export const FEW_UNITS = 10;
