import { describe, expect, test } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { ACTION_COLUMNS } from '../../core/report/actions-table.ts';
import { AGREEMENT_COLUMNS, VERDICT_TABLE_COLUMNS } from '../../core/report/agreement-table.ts';
import { CASE_COLUMNS } from '../../core/report/cases-table.ts';
import { CLOCK_COLUMNS } from '../../core/report/clock-offsets-table.ts';
import { DROPOUT_COLUMNS } from '../../core/report/dropouts-table.ts';
import { EXPOSURE_COLUMNS } from '../../core/report/exposures-table.ts';
import { LINK_COLUMNS } from '../../core/report/links-table.ts';
import { LOW_COLUMNS } from '../../core/report/low-spo2-table.ts';
import { CASE_REVIEW_COLUMNS, DROPOUT_REVIEW_COLUMNS } from '../../core/report/review-columns.ts';
import { REVIEW_COLUMNS } from '../../core/report/reviews-table.ts';
import { ROBUSTNESS_COLUMNS } from '../../core/report/robustness-table.ts';
import { COMPARISON_COLUMNS } from '../../core/report/site-comparison-table.ts';
import { PAIR_COLUMNS } from '../../core/report/site-pairs-table.ts';
import { filesBelow, readText } from './source-files.ts';

/** The rules and figures of one case, the comparison of its sites, quality charts and agreement: each has a page with the same four parts. */
const PAGES = [
  ...['interval', 'sample-status', 'monitored-time', 'record-gap', 'dropout', 'blind-interval', 'value-making', 'onset-patterns', 'linkage', 'robustness', 'quality-charts', 'rater-agreement', 'reviews-between-libraries', 'review', 'audit-trail', 'actions'].map((name) => `docs/methods/${name}.md`),
  ...['time-below', 'hypoxaemia', 'drop-on-return', 'cannot-be-excluded', 'restoration', 'signal-strength', 'site-pairs', 'site-lag', 'dissociation', 'confirmed'].map((name) => `docs/metrics/${name}.md`),
];
const ALL = [...filesBelow('docs/methods', /\.md$/), ...filesBelow('docs/metrics', /\.md$/)];

describe.each(PAGES)('%s', (page) => {
  const text = readText(page);

  test.each([
    ['a definition', /^(## |\*\*)Definition/m],
    ['parameters with reasons', /^(## |\*\*)Parameters/m],
    ['what it cannot see', /^(## |\*\*)What it (cannot see|cannot show|is not)/m],
    ['where it comes from', /Specification: |Sources?[:.*]|[A-Z][a-z]+ (?:19|20)\d\d \(/],
  ])('has %s', (_part, mark) => {
    expect(text).toMatch(mark);
  });
});

test('every parameter of the analysis is on a page', () => {
  const texts = ALL.map(readText);
  expect(Object.keys(DEFAULT_PARAMETERS).filter((name) => name !== 'name' && !texts.some((text) => text.includes(`\`${name}\``)))).toEqual([]);
});

/** The patterns of columns that the pages claim for a file: what stands behind its name in a paragraph "In the tables". */
function claimed(file: string): RegExp[] {
  const patterns: RegExp[] = [];
  for (const page of ALL) {
    for (const [, paragraph] of readText(page).matchAll(/^\*\*In the tables\.\*\*(.*)$/gm)) {
      let files: string[] = [];
      let wasName = false;
      for (const [, word] of (paragraph ?? '').matchAll(/`([\w.*-]+)`/g)) {
        const name = word ?? '';
        if (name.endsWith('.csv')) {
          files = wasName ? [...files, name] : [name];
          wasName = true;
          continue;
        }
        wasName = false;
        if (files.includes(file)) patterns.push(new RegExp(`^${name.replaceAll('*', '.*')}$`));
      }
    }
  }
  return patterns;
}

test.each([
  ['cases.csv', [...CASE_COLUMNS, ...CASE_REVIEW_COLUMNS]], ['dropouts.csv', [...DROPOUT_COLUMNS, ...DROPOUT_REVIEW_COLUMNS]], ['reviews.csv', REVIEW_COLUMNS], ['links.csv', LINK_COLUMNS], ['exposures.csv', EXPOSURE_COLUMNS], ['low-spo2.csv', LOW_COLUMNS],
  ['site-pairs.csv', PAIR_COLUMNS], ['site-comparison.csv', COMPARISON_COLUMNS], ['clock-offsets.csv', CLOCK_COLUMNS], ['robustness.csv', ROBUSTNESS_COLUMNS],
  ['actions.csv', ACTION_COLUMNS], ['agreement.csv', AGREEMENT_COLUMNS], ['verdict-table.csv', VERDICT_TABLE_COLUMNS],
])('every column of %s is claimed by a page, and every claim has a column', (file, columns) => {
  const names = columns.map(({ name }) => name);
  const patterns = claimed(file);
  expect(names.filter((name) => !patterns.some((pattern) => pattern.test(name)))).toEqual([]);
  expect(patterns.filter((pattern) => !names.some((name) => pattern.test(name))).map(String)).toEqual([]);
});
