/**
 * Milliseconds since the case origin. The origin is the instant of the case's first trend row,
 * so `CaseMs / 1000` is what the output files call `*_s`.
 */
export type CaseMs = number;

/** A length of time in milliseconds; never negative. */
export type DurationMs = number;
