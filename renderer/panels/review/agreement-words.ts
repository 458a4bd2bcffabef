import type { AgreementFigure, AgreementScale, ManyReadersFigure, PairAgreement } from '../../../core/model/review-agreement.ts';
import { countText, numberText, plainNumberText } from '../../format/number-text.ts';

/** Names of the scales, as headings. */
export const SCALE_NAMES: Readonly<Record<AgreementScale, string>> = {
  'kind of verdict': 'All verdicts of the form',
  'loss, no loss or cannot tell': 'Loss, no loss or cannot tell',
  'loss or no loss': 'Loss or no loss, where both could tell',
};

/** Why a figure or its limits are not there; the words of the method's page stand behind it. */
const REASONS: Readonly<Record<NonNullable<AgreementFigure['reason']>, string>> = {
  'nothing-rated': 'no dropout to work it out from',
  'one-category': 'only one category was used: chance alone explains everything',
  'no-variation': 'all verdicts are the same',
  'one-case': 'no limits from one case',
  'replicates-alike': 'no limits: every draw gives the same',
  'too-many-undefined': 'no limits: too many draws without a value',
  'unequal-raters': 'readers read different dropouts',
};

/** Returns a figure and its limits: "0.492" and "(0.310 to 0.660)"; a share as per cent; null for no limits. As many digits in each, so that figures beneath each other compare. */
export function figureText({ figure, estimate, lower, upper }: Pick<AgreementFigure | ManyReadersFigure, 'figure' | 'estimate' | 'lower' | 'upper'>): readonly [string, string | null] {
  const isShare = figure === 'percent agreement' || figure === 'positive agreement' || figure === 'negative agreement';
  const number = (value: number): string => steadyNumberText(value, isShare);
  if (estimate === null) return ['not defined', null];
  return [number(estimate), lower === null || upper === null ? null : `(${number(lower)} to ${number(upper)})`];
}

/** Returns a figure of agreement with as many digits as every other: "45.0 %" for a share, else "1.000". */
export function steadyNumberText(value: number, isShare: boolean): string {
  return `${(isShare ? (value * 100).toFixed(1) : value.toFixed(3)).replace('-', '−')}${isShare ? ' %' : ''}`;
}

/** Returns of how many dropouts readers corrected the bounds, as sentences. */
export function boundsText({ corrected, correctedByBoth, leftStanding }: PairAgreement['bounds']): string {
  const standing = `${countText(leftStanding, 'dropout', 'dropouts')} that both call a loss ${leftStanding === 1 ? 'keeps its' : 'keep their'} computed bounds`;
  if (corrected === 0) return leftStanding === 0 ? 'No dropout is called a loss by both: there are no bounds to compare.' : `No bounds were corrected: ${standing}.`;
  return `Of ${countText(corrected, 'dropout', 'dropouts')} that both call a loss at least one reader corrected the bounds (of ${numberText(correctedByBoth)} both did); where only one did, the computed bounds count for the other. ${leftStanding === 0 ? '' : `${standing.slice(0, 1).toUpperCase()}${standing.slice(1)} and ${leftStanding === 1 ? 'is' : 'are'} not in the table.`}`.trim();
}

/** Returns where the limits of a figure come from, or why it has none. */
export function limitsNote({ reason, interval, undefinedDraws }: Pick<AgreementFigure, 'reason' | 'interval' | 'undefinedDraws'>): string {
  if (reason !== null) return REASONS[reason];
  const left = undefinedDraws === 0 ? '' : `, ${plainNumberText(undefinedDraws)} draws not defined`;
  return interval === 'formula' ? 'by formula' : `cases drawn anew${left}`;
}

/** Returns how many cases are left out because what others said of them is kept from a reader, with what ends that. */
export function hiddenText(cases: number, reader: string | null): string {
  const who = reader === null ? 'reading is blinded and nobody has said who reads' : `${reader} reads blinded and has neither called ${cases === 1 ? 'it' : 'them'} read nor revealed what others said`;
  return `${countText(cases, 'case is', 'cases are')} not looked at here: ${who}.`;
}

/** Returns seconds with a sign: "+2.5 s". */
export function signedSeconds(ms: number | null): string {
  if (ms === null) return '–';
  return `${ms > 0 ? '+' : ms < 0 ? '−' : ''}${plainNumberText(Math.abs(ms) / 1000, 1)} s`;
}

/** Returns hexadecimal digits in groups of four, as they are compared by telephone. */
export function grouped(fingerprint: string): string {
  return fingerprint.replace(/.{4}(?=.)/g, '$& ');
}
