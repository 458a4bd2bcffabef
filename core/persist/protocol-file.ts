import type { Result } from '../base/result.ts';
import { fail, ok } from '../base/result.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import type { ProtocolDifference } from '../model/protocol-differences.ts';
import type { StudyProtocol } from '../model/study-protocol.ts';
import { studyProtocolSchema } from '../model/study-protocol-schema.ts';
import { schemaFailure } from './json-text.ts';

const SCHEMA = 'lacuna-protocol/1';

/** Returns the text whose sha-256 is the digest of a protocol: JSON of all but the digest, keys in the order of their letters, no blanks. */
export function protocolDigestText({ digest: _digest, ...content }: Omit<StudyProtocol, 'digest'> & { readonly digest?: string }): string {
  return JSON.stringify(sorted(content));
}

function sorted(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sorted);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)).map(([key, inner]) => [key, sorted(inner)]));
}

/** Returns a protocol as a file that `parseProtocol` reads. */
export function protocolFileText(protocol: StudyProtocol): string {
  return `${JSON.stringify({ schema: SCHEMA, ...protocol }, null, 2)}\n`;
}

/**
 * Returns the protocol of a file, whole as it was fixed.
 * Errors  `bad-field` naming the field. Whether the digest fits is for the caller to see: the core has no sha-256.
 */
export function parseProtocol(json: unknown): Result<StudyProtocol> {
  if (typeof json !== 'object' || json === null || !('schema' in json) || json.schema !== SCHEMA) {
    return fail({ code: 'bad-field', message: `The protocol file does not begin with "schema": "${SCHEMA}".`, remedy: 'Export the protocol from the program again.' });
  }
  const { schema: _schema, ...content } = json;
  const parsed = studyProtocolSchema.safeParse(content);
  return parsed.success ? ok(parsed.data) : fail(schemaFailure('protocol file', parsed.error));
}

/** Returns a protocol as Markdown, to be printed or filed. */
export function protocolMarkdown(protocol: StudyProtocol): string {
  const { title, question, design, outcome, effect, effectSize, sites, cases, n, analysis, conf, seed, parameters, version, reason, fixedAt, digest, productVersion, protocolId } = protocol;
  const designs = { paired: 'both sites worn at once by each patient', parallel: 'one site per patient', description: 'no comparison' } as const;
  return [
    `# ${oneLine(title)}`,
    '',
    `Protocol ${protocolId}, version ${version}, fixed ${fixedAt} with Lacuna ${productVersion}.`,
    ...(reason === '' ? [] : ['', `Reason for this version: ${reason.trim()}`]),
    '',
    '## Question',
    '',
    question.trim(),
    '',
    '## Design and outcome',
    '',
    `- Design: ${design} (${designs[design]})`,
    `- Primary outcome: ${outcome}`,
    `- Sites: ${sites.join(', ')}`,
    ...(effect === null ? [] : [`- Effect: ${effect === 'ratio' ? `ratio of the totals, ${sites[1] ?? 'second'} / ${sites[0] ?? 'first'}` : `difference of the patients’ own figures, ${sites[1] ?? 'second'} − ${sites[0] ?? 'first'}`}${effectSize === null ? '' : `; to be found: ${effectSize}`}`]),
    `- Patients: ${n === null ? 'not stated' : `${n}${design === 'parallel' ? ' per group' : ''}`}`,
    '',
    '## Cases',
    '',
    cases.trim(),
    '',
    '## Analysis',
    '',
    analysis.trim(),
    '',
    `Confidence ${conf}; random numbers MT19937, seed ${seed}.`,
    '',
    '## Definition of a dropout',
    '',
    `Set of parameters “${oneLine(parameters.name)}”, copied whole:`,
    '',
    '| parameter | value |',
    '| --- | --- |',
    ...parameterLines(parameters),
    '',
    `Digest (sha-256): \`${digest}\``,
    '',
    'For looking back only: it guides no care. What goes before a loss is association, not cause. Only sensors worn at once, or assigned at random, answer which site gives more.',
    '',
  ].join('\n');
}

function parameterLines(parameters: AnalysisParameters): string[] {
  return Object.entries(parameters)
    .filter(([name]) => name !== 'name')
    .map(([name, value]) => `| ${name} | ${typeof value === 'object' ? JSON.stringify(value).replaceAll('|', '\\|') : String(value)} |`);
}

function oneLine(text: string): string {
  return text.replace(/\s+/g, ' ').trim();
}

/** Returns the sentence that stands with a result: whether it was computed under what was fixed, and in what it departs from it. */
export function protocolStatement({ title, version, fixedAt }: Pick<StudyProtocol, 'title' | 'version' | 'fixedAt'>, differences: readonly ProtocolDifference[]): string {
  const which = `protocol “${oneLine(title)}”, version ${version}, fixed ${fixedAt}`;
  if (differences.length === 0) return `Computed under the definition of ${which}.`;
  return `Not computed under the definition of ${which}: ${differences.map(({ field, fixed, used }) => `${field} is ${used}, fixed was ${fixed}`).join('; ')}.`;
}
