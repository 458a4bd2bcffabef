/*
 * Narrow looks into parsed JSON (or XML) of which nothing is known: each returns the part asked for, or its absence.
 * A part that may repeat is a list in JSON and may be a single node where it came from XML: both are taken.
 */

export type FhirNode = Readonly<Record<string, unknown>>;

/** Returns the value as a node, null when it is a list or no object at all. */
export function asNode(value: unknown): FhirNode | null {
  // The cast says no more than what was just checked: an object with named parts of unknown kind.
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as FhirNode) : null;
}

/** Returns the named part as a node (the first of a list), null when there is none. */
export function nodeAt(node: FhirNode | null, name: string): FhirNode | null {
  const value = node?.[name];
  return asNode(Array.isArray(value) ? value[0] : value);
}

/** Returns every node of the named part; entries that are no nodes are left out. */
export function nodesAt(node: FhirNode | null, name: string): FhirNode[] {
  const value = node?.[name];
  const list: readonly unknown[] = Array.isArray(value) ? value : [value];
  return list.flatMap((entry) => {
    const part = asNode(entry);
    return part === null ? [] : [part];
  });
}

/** Returns the named part's text, blanks at both ends cut off; '' when it has none. */
export function textAt(node: FhirNode | null, name: string): string {
  const value = node?.[name];
  return typeof value === 'string' ? value.trim() : '';
}

/** Returns every text of the named part, blanks at both ends cut off. */
export function textsAt(node: FhirNode | null, name: string): string[] {
  const value = node?.[name];
  const list: readonly unknown[] = Array.isArray(value) ? value : [value];
  return list.flatMap((entry) => (typeof entry === 'string' && entry.trim() !== '' ? [entry.trim()] : []));
}

/** Returns the named part's number (XML gives it as text), NaN when it has none or one that is too large for a double. */
export function numberAt(node: FhirNode | null, name: string): number {
  const value = node?.[name];
  const number = typeof value === 'string' && DECIMAL.test(value.trim()) ? Number(value) : value;
  return typeof number === 'number' && Number.isFinite(number) ? number : NaN;
}

/** A FHIR decimal: no blanks, no thousands marks. Source: HL7 FHIR R4 datatypes, from memory. */
export const DECIMAL = /^[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?$/i;
