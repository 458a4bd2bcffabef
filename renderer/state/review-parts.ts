/** The parts of the place Review, in the order of its tabs; what each shows stands in `renderer/panels/review/review-place.tsx`. */
export const REVIEW_PARTS = ['queue', 'agreement', 'disagreements', 'exchange', 'trail'] as const;
export type ReviewPart = (typeof REVIEW_PARTS)[number];
