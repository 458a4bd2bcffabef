/*
 * The release list of everything that the sample cases are made into: nothing of the program's own wording is asked about, and every
 * date, clock time and name of a case is. The sample cases are invented (sample-cases/README.md); what is in them is known.
 */
import { beforeAll, describe, expect, test } from 'vitest';
import { isAsked, type ReleaseContent } from '../../core/model/release.ts';
import { DEFAULT_HEADER } from '../../core/model/report-document.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { storyDeck } from '../../core/report/deck/story-deck.ts';
import { caseSheet } from '../../core/report/document/case-sheet.ts';
import { releaseOf } from '../../core/report/release/release-list.ts';
import { buildSampleStory, sampleKey } from '../builders/sample-story.ts';
import { readSamples, readTruth, type ReadSamples } from './read-samples.ts';
import { sampleDepartmentReport } from './sample-department-report.ts';

const CASE_IDS = Object.keys(readTruth()).sort();
const WISHES = { header: DEFAULT_HEADER, paper: 'A4', relativeTime: false } as const;

let samples: ReadSamples;
beforeAll(async () => {
  samples = await readSamples();
}, 120_000);

function analyzed(caseId: string) {
  const record = samples.outcome.cases.find((one) => one.caseId === caseId);
  const analysis = samples.analyses.get(caseId);
  if (record === undefined || analysis === undefined) throw new Error(`no case ${caseId}`);
  return { record, analysis };
}

function askedOf(content: ReleaseContent): string[] {
  return releaseOf(content, []).list.tokens.filter(({ kind }) => isAsked(kind)).map(({ kind, text }) => `${kind}: ${text}`);
}

test('slides of a story of every sample case, without a word typed that could name anybody, are asked nothing', () => {
  const own = CASE_IDS.map(analyzed);
  const story = buildSampleStory(own);
  const deck = storyDeck({ story, cases: new Map(own.map((one, i) => [sampleKey(i), one])), parameters: DEFAULT_PARAMETERS, header: DEFAULT_HEADER, productVersion: '0.1.0', wishes: { withNotes: true } });
  expect(askedOf({ kind: 'deck', deck })).toEqual([]);
});

describe('case sheets', () => {
  test.each(CASE_IDS)('of %s with dates ask about its name, its date and its clock times', (caseId) => {
    const one = analyzed(caseId);
    console.log(caseId, askedOf({ kind: 'report', document: caseSheet(one, WISHES) }).filter((x) => !x.startsWith('clock')).join(' | '));
  });
});

test('the department report', () => {
  console.log(askedOf({ kind: 'report', document: sampleDepartmentReport(samples) }).join(' | '));
});
