/** One field of an output file in JSON, as the data dictionary describes it. */
export interface JsonField {
  /** `a.b` for a field of an object, `a[].b` for one of the entries of a list. */
  readonly name: string;
  readonly meaning: string;
  readonly unit: string;
  readonly how: string;
}

/** Returns `value` as JSON text: two spaces, a line end last, keys in the order in which they were set. */
export function jsonText(value: unknown): string {
  return `${JSON.stringify(value, null, 2)}\n`;
}
