import type { Mapping } from '../model/mapping.ts';
import type { NotShared, SharedChart, SharedDefinitions } from '../model/shared-definitions.ts';
import { scrubText, type ScrubContext } from './scrub-text.ts';
import { shownMapping } from './shown-mapping.ts';
import type { Door } from './shown-path.ts';

/** There is no case beside it whose years would tell a date of birth from another. */
const NO_CASE: ScrubContext = { years: { first: 0, last: 9999 }, known: null, codes: new Set() };

/** What a library holds and never gives away with its definitions. */
const NEVER_SHARED: readonly NotShared[] = [
  { what: 'cases and their analyses', why: 'records of patients' },
  { what: 'reviews', why: 'they speak of single cases' },
  { what: 'decisions about lists of cases', why: 'they speak of single cases' },
  { what: 'actions of meetings, and their measures', why: 'they say what this department did and when; their texts may name persons' },
  { what: 'the ledger of imports, with rejected rows', why: 'it holds names of files and rows of records' },
  { what: 'points, limits, changes and restated points of quality charts', why: 'counts by month of a small department can point to single patients; the dates of changes are of this department' },
  { what: 'the key of the codes that stand for persons', why: 'with it codes could be matched to persons' },
];

/**
 * Returns what of a library's definitions may go out: rules that belong to one file are taken out of mappings, and what looks as if
 * it named a person is left out as a whole, since what is fixed by a digest or chosen by its value cannot be blanked. What stayed
 * behind stands in `notShared`.
 */
export function shareableDefinitions(all: Omit<SharedDefinitions, 'schema' | 'notShared'>): SharedDefinitions {
  const notShared: NotShared[] = [...NEVER_SHARED];
  const keep = <T>(kind: string, list: readonly T[], nameOf: (one: T) => string, textsOf: (one: T) => readonly string[]): T[] =>
    list.filter((one, i) => {
      if (textsOf(one).every(isPlain)) return true;
      notShared.push({ what: `${kind} ${isPlain(nameOf(one)) ? `“${nameOf(one)}”` : `number ${i + 1}`}`, why: 'a text in it looks like the name, number or date of a person; change the text, or send it by itself' });
      return false;
    });
  const mappings = all.mappings.map((mapping) => {
    const reduced = withoutSingleFiles(mapping);
    if (JSON.stringify(reduced) !== JSON.stringify(mapping)) notShared.push({ what: `rules for single files in the mapping “${isPlain(mapping.name) ? mapping.name : 'without its name'}”`, why: 'the name of a case, the offset of a clock or the path of a file belongs to one record' });
    return shownMapping(reduced, DOOR);
  });
  return {
    schema: 'lacuna-shared-definitions/1',
    ...all,
    mappings,
    parameterSets: keep('set of definitions', all.parameterSets, ({ name }) => name, ({ name }) => [name]),
    protocols: keep('protocol', all.protocols, ({ title }) => title, ({ title, question, cases, analysis, reason, parameters }) => [title, question, cases, analysis, reason, parameters.name]),
    charts: keep('quality chart', all.charts, ({ name }) => name, textsOfChart),
    notShared,
  };
}

function textsOfChart({ name, definition }: SharedChart): string[] {
  return [name, definition.parameters.name, ...definition.choice.flatMap(({ column, values }) => [column, ...values])];
}

function isPlain(text: string): boolean {
  return scrubText(text, NO_CASE).found.length === 0;
}

/** Names of persons get no code that could be matched to one of the library. */
const DOOR: Door = { keepIdentifiers: false, pseudonymOf: () => 'person' };

function withoutSingleFiles(mapping: Mapping): Mapping {
  return {
    ...mapping,
    files: mapping.files
      .filter(({ match }) => match.path === undefined)
      .map(({ reading: { caseId: _caseId, clockOffsetS: _offset, ...reading }, ...file }) => ({ ...file, reading })),
  };
}
