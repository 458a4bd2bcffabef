import type { AnalysisParameters } from './parameters.ts';
import type { ProtocolContent } from './study-protocol.ts';

/** What a result was computed with, as far as it is known; what is left out is not compared. */
export interface UsedDefinition extends Partial<Pick<ProtocolContent, 'design' | 'outcome' | 'effect' | 'sites' | 'conf' | 'seed'>> {
  readonly parameters: AnalysisParameters;
}

/** A field in which a result departs from a protocol. */
export interface ProtocolDifference {
  /** `parameters.minDurationS`, `seed` … */
  readonly field: string;
  readonly fixed: string;
  readonly used: string;
}

/**
 * Returns in what a result departs from what was fixed; empty: it was computed under the fixed definition.
 * Shape   fields of the parameters one by one (tables entry by entry), their name left out; then the others.
 */
export function protocolDifferences(protocol: ProtocolContent, used: UsedDefinition): ProtocolDifference[] {
  const { parameters, ...rest } = used;
  const others = Object.entries(rest).flatMap(([field, value]) => changed(field, protocol[field as keyof typeof rest], value)); // the keys of an object of that type
  return [...changed('parameters', { ...protocol.parameters, name: '' }, { ...parameters, name: '' }), ...others];
}

function changed(field: string, fixed: unknown, used: unknown): ProtocolDifference[] {
  if (isTable(fixed) && isTable(used)) {
    const keys = [...new Set([...Object.keys(fixed), ...Object.keys(used)])];
    return keys.flatMap((key) => changed(`${field}.${key}`, fixed[key], used[key]));
  }
  const [was, is] = [textOf(fixed), textOf(used)];
  return was === is ? [] : [{ field, fixed: was, used: is }];
}

function isTable(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function textOf(value: unknown): string {
  if (value === undefined || value === null) return 'not set';
  return typeof value === 'string' ? value : JSON.stringify(value);
}
