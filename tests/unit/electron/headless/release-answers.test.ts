import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import type { ReportDocument } from '../../../../core/model/report-document.ts';
import { mergeLists } from '../../../../core/report/release/merge-lists.ts';
import { releaseOf } from '../../../../core/report/release/release-list.ts';
import { asideOf, givenAnswers, OpenRelease, refuseOpen, releaseSummary, releaseWords } from '../../../../electron/headless/release-answers.ts';
import { WrongCall } from '../../../../electron/headless/find-inputs.ts';

let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-answers-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

const sheet = (text: string): ReportDocument => ({ title: 'Case sheet', subtitle: '', language: 'en', header: '', footer: '', paper: 'A4', isDense: true, blocks: [{ kind: 'paragraph', tone: 'plain', text }] });
const listOf = (texts: readonly string[], answers: Parameters<typeof releaseOf>[1] = []) => mergeLists(texts.map((text, i) => ({ name: `case-sheet-00${i + 1}`, list: releaseOf({ kind: 'report', document: sheet(text) }, answers).list })));

test('words of several sheets are one list, each with the sheet where it stands first', () => {
  const list = listOf(['Told by Quillfeather.', 'Asked at 14:32 by Quillfeather.']);
  expect(list.open).toBe(2);
  expect(list.tokens.filter(({ kind }) => kind === 'name' || kind === 'clock time')).toMatchObject([{ text: 'Quillfeather', count: 2, place: 'case-sheet-001, beginning' }, { text: '14:32', count: 1, place: 'case-sheet-002, beginning' }]);
  expect(listOf(['Told by Quillfeather.', 'Quillfeather.'], [{ kind: 'name', text: 'Quillfeather', decision: 'leave out', with: '' }, { kind: 'unknown word', text: 'Quillfeather', decision: 'leave out', with: '' }])).toMatchObject({ open: 0 });
});

test('a file of answers that is not there is made with what is open; one that lacks something stays, and what is open goes beside it', async () => {
  const file = join(folder, 'answers.json');
  expect(await givenAnswers(undefined)).toBeNull();
  const fresh = await givenAnswers(file);
  if (fresh === null) throw new Error('no answers');
  const list = listOf(['Told by Quillfeather at 14:32.']);
  await expect(refuseOpen(fresh, list)).rejects.toBeInstanceOf(OpenRelease);
  const made = JSON.parse(await readFile(file, 'utf8')) as { answers: Record<string, string>[] };
  expect(made.answers.map(({ text, decision }) => [text, decision])).toEqual([['Quillfeather', ''], ['14:32', '']]);
  // An empty decision is none: the file is refused as it is.
  await expect(givenAnswers(file)).rejects.toBeInstanceOf(WrongCall);
  const filled = JSON.stringify({ ...made, answers: made.answers.slice(0, 1).map((one) => ({ ...one, decision: 'keep' })) });
  await writeFile(file, filled);
  const given = await givenAnswers(file);
  if (given === null) throw new Error('no answers');
  await expect(refuseOpen(given, listOf(['Told by Quillfeather at 14:32.'], given.answers))).rejects.toThrow('answers.open.json');
  expect(await readFile(file, 'utf8')).toBe(filled);
  expect((await readdir(folder)).sort()).toEqual(['answers.json', 'answers.open.json']);
  expect((JSON.parse(await readFile(join(folder, 'answers.open.json'), 'utf8')) as typeof made).answers.map(({ text, decision }) => [text, decision])).toEqual([['Quillfeather', 'keep'], ['14:32', '']]);
  await refuseOpen(given, listOf(['Told by Quillfeather.'], given.answers));
});

test('a run says how many words nobody answered for, and puts what stays apart only where something is to leave', () => {
  expect(releaseWords(releaseSummary(listOf(['Told by Quillfeather at 14:32.']), 'release-list.json'))).toMatch(/^2 words, dates and codes of \d+ may identify somebody, and nobody answered/);
  expect(releaseWords(releaseSummary(listOf(['Told by Quillfeather.'], [{ kind: 'name', text: 'Quillfeather', decision: 'replace', with: 'the nurse' }]), 'x'))).toContain('0 that may identify somebody were kept, 1 replaced, 0 left out');
  expect(asideOf(null)('parameters.json')).toBe('parameters.json');
  expect(asideOf({ file: 'a', isNew: true, answers: [] })('parameters.json')).toBe('stays-here/parameters.json');
});
