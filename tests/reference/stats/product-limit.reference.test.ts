/*
 * Medians of censored times against golden cases worked out with other software: `tests/fixtures/stats-reference/b-km-median.json`.
 */
import { censoredMedian } from '../../../core/stats/product-limit.ts';
import { golden, goldenCases } from './golden-cases.ts';

golden(goldenCases('b-km-median.json'), 'survival.median', ({ data }) => ({ median: censoredMedian(data.time.map((time: number, i: number) => ({ time, isEvent: data.event[i] === 1 }))) }));
