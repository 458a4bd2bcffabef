import type { FilePreview } from '../../core/model/file-preview.ts';

/** Returns the preview of a small wide table; `over` replaces single fields. */
export function buildFilePreview(over: Partial<FilePreview> = {}): FilePreview {
  const column = { sensor: '', because: '', isWithheld: false } as const;
  return {
    file: 'a/trends.csv', layout: 'wide', kind: 'trends', encoding: 'utf-8', delimiter: ',', decimalMark: '.', dateOrder: null, timeForm: 'timestamp', clock: 'absolute', zone: { name: 'UTC', basis: 'none' },
    headings: ['Time', 'SpO2'],
    columns: [
      { ...column, index: 0, heading: 'Time', key: 'Time', role: 'time', readAs: 'time', quantity: null, site: null, unit: '', certainty: 'known', examples: ['2031-04-23 08:00:00'] },
      { ...column, index: 1, heading: 'SpO2', key: 'SpO2', role: 'value', readAs: 'SpO2, site not stated, %', quantity: 'spo2', site: 'unstated', unit: '%', certainty: 'known', examples: ['97'] },
    ],
    rows: [
      { line: 1, part: 'headings', cells: ['Time', 'SpO2'], timeMs: null, becomes: [] },
      {
        line: 2, part: 'row', cells: ['2031-04-23 08:00:00', '97'], timeMs: Date.UTC(2031, 3, 23, 8),
        becomes: [{ kind: 'value', column: 1, quantity: 'spo2', site: 'unstated', sensor: '', unit: '%', value: 97, isFlagged: false, isConverted: false }],
      },
    ],
    rowsRead: 1, rowsAccepted: 1, rowsRejected: 0, isWhole: true, guesses: [], notes: [], unknownPhrases: [], failure: null, ...over,
  };
}
