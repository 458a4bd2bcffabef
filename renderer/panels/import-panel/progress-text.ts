import { byteText, countText, numberText } from '../../format/number-text.ts';
import type { ImportProgress } from '../../state/import-session.ts';

/** Returns how much of a stage is done: bytes while files are handed over and read, cases afterwards. */
export function doneText({ stage, bytesDone, bytesTotal }: ImportProgress): string {
  if (bytesTotal === 0) return '';
  if (stage === 'analysing' || stage === 'writing') return `${numberText(bytesDone)} of ${countText(bytesTotal, 'case', 'cases')}`;
  return `${bytesDone === 0 ? '0' : byteText(bytesDone)} of ${byteText(bytesTotal)}`;
}
