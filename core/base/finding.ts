/** Where in the input something stands. `line` is physical, from 1, headings and blank lines counted. */
export interface SourceRef {
  readonly sourceIndex: number;
  readonly line: number;
}

/** A defect or a fact of the input that travels with the case: never thrown, never only logged. */
export interface Finding {
  readonly code: string;
  readonly severity: 'error' | 'warning' | 'note';
  /** A sentence for a clinician. */
  readonly message: string;
  readonly count: number;
  readonly firstLine?: number | undefined;
  readonly sourceIndex?: number | undefined;
}
