/** Why agreement beyond chance is not defined. */
export type AgreementReason =
  /** No unit was judged by both (or by two). */
  | 'nothing-rated'
  /** Only one category was used: agreement by chance alone is complete, and nothing lies beyond it. */
  | 'one-category'
  /** All values are equal. */
  | 'no-variation'
  /** One case only: nothing to draw anew. */
  | 'one-case'
  /** Every sample drawn anew gives the same. */
  | 'replicates-alike'
  /** Too many samples drawn anew have no value. */
  | 'too-many-undefined'
  /** Units were judged by different numbers of reviewers. */
  | 'unequal-raters';
