import { readFile } from 'node:fs/promises';
import type { Result } from '../../core/base/result.ts';
import type { Mapping } from '../../core/model/mapping.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { parseJsonText } from '../../core/persist/json-text.ts';
import { parseMapping } from '../../core/persist/mapping-file.ts';
import { parseParameters } from '../../core/persist/parameters-file.ts';
import { isKnownZone } from '../../core/time/zone-clock.ts';
import { WrongCall, codeOf } from './find-inputs.ts';

/** Returns the parameters of the file at `path`, the defaults where there is none. Throws WrongCall. */
export async function readParameters(path: string | undefined): Promise<AnalysisParameters> {
  return path === undefined ? DEFAULT_PARAMETERS : readSettings(path, 'parameters', parseParameters);
}

/** Returns the mapping of the file at `path`, null where there is none. Throws WrongCall. */
export async function readMapping(path: string | undefined): Promise<Mapping | null> {
  if (path === undefined) return null;
  const mapping = await readSettings(path, 'mapping', parseMapping);
  mapping.files.forEach(({ reading }, index) => {
    if (reading.zone !== undefined && !isKnownZone(reading.zone)) throw new WrongCall(`The mapping file ${path}: "files.${index}.reading.zone" names no time zone: ${reading.zone}`);
  });
  return mapping;
}

/** Returns the zone as given, null where none is. Throws WrongCall for one that nobody knows. */
export function checkedZone(zone: string | undefined): string | null {
  if (zone === undefined) return null;
  if (!isKnownZone(zone)) throw new WrongCall(`--zone names no time zone: ${zone}. Use a name such as Europe/Berlin, or UTC.`);
  return zone;
}

/** Returns what a settings file holds. Throws WrongCall for one that cannot be read or holds something else. */
export async function readSettings<T>(path: string, kind: string, parse: (json: unknown) => Result<T>): Promise<T> {
  let text: string;
  try {
    text = await readFile(path, 'utf8');
  } catch (error) {
    throw new WrongCall(`The ${kind} file cannot be read (${codeOf(error)}): ${path}`);
  }
  const json = parseJsonText(text);
  const result = json.ok ? parse(json.value) : json;
  if (result.ok) return result.value;
  const { message, remedy } = result.failure;
  throw new WrongCall(`The ${kind} file ${path}: ${message}${remedy === undefined ? '' : ` ${remedy}`}`);
}
