import type { Failure } from '../base/result.ts';

/** A `Failure` as something that can be thrown: what a call of the host rejects with on either side of the door. */
export class FailureError extends Error implements Failure {
  readonly code: string;
  readonly file: string | undefined;
  readonly line: number | undefined;
  readonly remedy: string | undefined;

  constructor(failure: Failure) {
    super(failure.message);
    this.name = 'FailureError';
    this.code = failure.code;
    this.file = failure.file;
    this.line = failure.line;
    this.remedy = failure.remedy;
  }
}

/** Returns `error` as plain data fit to cross a door; what is no Failure is named an error inside the program. */
export function toFailure(error: unknown): Failure {
  if (error instanceof Error && 'code' in error && typeof error.code === 'string' && 'remedy' in error) {
    return {
      code: error.code,
      message: error.message,
      file: 'file' in error && typeof error.file === 'string' ? error.file : undefined,
      line: 'line' in error && typeof error.line === 'number' ? error.line : undefined,
      remedy: typeof error.remedy === 'string' ? error.remedy : undefined,
    };
  }
  return { code: 'internal', message: 'An error inside the program stopped this step.', remedy: 'Try again; if it comes back, report what you did.' };
}
