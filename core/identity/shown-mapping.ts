import type { Mapping, ReadingRules } from '../model/mapping.ts';
import { personInName } from './path-mask.ts';
import { scrubText, type ScrubContext } from './scrub-text.ts';
import { caseCode, shownName, type Door } from './shown-path.ts';

/** A mapping has no case beside it whose years would tell a date of birth from another. */
const NO_CASE: ScrubContext = { years: { first: 0, last: 9999 }, known: null, codes: new Set() };

/** Returns a mapping as it may stand in a result: names of persons in patterns, paths, case names, phrases and its own names are codes or blanked. */
export function shownMapping(mapping: Mapping, door: Door): Mapping {
  if (door.keepIdentifiers) return mapping;
  return {
    ...mapping,
    name: scrubText(mapping.name, NO_CASE).text,
    files: mapping.files.map(({ match, reading, name }) => ({
      match: {
        ...match,
        ...(match.fileName === undefined ? {} : { fileName: shownPattern(match.fileName, door) }),
        ...(match.path === undefined ? {} : { path: shownPattern(match.path, door) }),
      },
      reading: { ...withShownCase(reading, door), ...(reading.phrases === undefined ? {} : { phrases: Object.fromEntries(Object.entries(reading.phrases).map(([phrase, meaning]) => [scrubText(phrase, NO_CASE).text, meaning])) }) },
      ...(name === undefined ? {} : { name: scrubText(name, NO_CASE).text }),
    })),
  };
}

/** Returns rules whose case name is the code under which its case is kept, where the name is that of a person. */
export function withShownCase(rules: ReadingRules, door: Door): ReadingRules {
  const { caseId } = rules;
  if (caseId === undefined || door.keepIdentifiers) return rules;
  const kind = personInName(caseId)?.kind;
  const isPlain = (kind === undefined || kind === 'record number') && scrubText(caseId, NO_CASE).found.length === 0;
  return isPlain ? rules : { ...rules, caseId: caseCode(caseId, door) };
}

/** A pattern is looked at without its stars; a part that names a person is a code, stars and all. */
function shownPattern(pattern: string, door: Door): string {
  return pattern
    .split('/')
    .map((part) => {
      const shown = shownName(part.replaceAll('*', ' ').trim(), door);
      return shown.kind === null ? part : shown.name;
    })
    .join('/');
}
