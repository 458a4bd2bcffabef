/** What went wrong when an expected failure happens: plain data, so it can cross threads and doors. */
export interface Failure {
  readonly code: string;
  /** One sentence a clinician can act on: what, where, and what to do about it. */
  readonly message: string;
  readonly file?: string | undefined;
  /** Physical line, counted from 1 with every heading line included. */
  readonly line?: number | undefined;
  readonly remedy?: string | undefined;
}

/** The outcome of something that is allowed to fail. Our own bugs throw instead. */
export type Result<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly failure: Failure };

/** Returns a success that carries `value`. */
export function ok<T>(value: T): Result<T> {
  return { ok: true, value };
}

/** Returns a failure. */
export function fail<T = never>(failure: Failure): Result<T> {
  return { ok: false, failure };
}
