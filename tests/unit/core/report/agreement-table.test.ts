import { expect, test } from 'vitest';
import { reviewAgreement } from '../../../../core/review/agreement.ts';
import { DEFAULT_AGREEMENT_OPTIONS } from '../../../../core/model/review-agreement.ts';
import { agreementText, verdictTableText } from '../../../../core/report/agreement-table.ts';
import { movedBounds, readCase, readDropout } from '../../../builders/read-case.ts';

const AGREEMENT = reviewAgreement(
  [
    readCase('a', [readDropout({ A: 'motion', B: { verdict: 'motion', correctedBounds: movedBounds(2, 0) } })]),
    readCase('b', [readDropout({ A: 'no loss', B: 'motion' })]),
  ],
  { ...DEFAULT_AGREEMENT_OPTIONS, replicates: 100 },
);

test('every figure has a row, those that are not defined with their reason and no number', () => {
  const rows = agreementText(AGREEMENT).trim().split('\r\n').map((line) => line.split(','));
  expect(rows).toHaveLength(1 + 4 + 4 + 8 + 12);
  expect(rows.find(([, scale, figure]) => scale === 'kind of verdict' && figure === 'percent agreement')?.slice(4, 5)).toEqual(['0.5']);
  expect(rows.find(([, scale, figure]) => scale === 'onset' && figure === 'bias')?.slice(3, 5)).toEqual(['s', '2']);
  expect(rows.find(([, scale, figure]) => scale === 'onset' && figure === 'upper limit')?.slice(4, 12)).toEqual(['', '', '', '', '1', '1', '0', 'one-case']);
});

test('the table of verdicts has every cell of the form', () => {
  const rows = verdictTableText(AGREEMENT).trim().split('\r\n');
  expect(rows).toHaveLength(1 + 81 + 9 + 4);
  expect(rows).toContain('loss or no loss,A,B,no loss,loss,1');
});

test('nobody to compare: the headings alone', () => {
  const none = reviewAgreement([], DEFAULT_AGREEMENT_OPTIONS);
  expect(agreementText(none).trim().split('\r\n')).toHaveLength(1);
  expect(verdictTableText(none).trim().split('\r\n')).toHaveLength(1);
});
