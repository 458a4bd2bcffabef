import type { AnalysisParameters } from '../model/parameters.ts';
import type { Sha256 } from './trail.ts';
import { canonicalJson } from './trail.ts';

/**
 * Returns what names a set of parameters by what it does: sha-256 of its canonical JSON without its name.
 * Shape   two sets have the same digest exactly where `sameParameters` holds.
 */
export function parametersDigest({ name: _name, ...rules }: AnalysisParameters, sha256: Sha256): string {
  return sha256(canonicalJson(rules));
}
