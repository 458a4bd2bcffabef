/** Throws: reached only when a union gained a member that a switch does not know (our bug). */
export function assertNever(value: never, what: string): never {
  throw new Error(`unexpected ${what}: ${JSON.stringify(value)}`);
}

/** Throws when `condition` is false: a broken promise between our own functions, never bad input. */
export function assert(condition: boolean, message: string): asserts condition {
  if (!condition) throw new Error(message);
}
