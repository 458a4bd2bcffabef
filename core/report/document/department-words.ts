import type { Range3 } from '../../base/interval.ts';
import { durationText, limitsText } from '../../base/duration-text.ts';
import { numberText, plainNumberText, shareText } from '../../base/number-text.ts';
import { ALL_SENSORS, WHOLE_CASE, type NamedInterval } from '../../model/cohort-burden.ts';
import type { RatioFigure } from '../../model/cohort-before-loss.ts';
import type { CohortCaution } from '../../model/cohort-caution.ts';
import type { OnsetPattern } from '../../model/onset-evidence.ts';
import type { ChartKind, ChartMeasure, ChartPoint, QualityDefinition } from '../../model/quality-chart.ts';
import { placeWords } from './case-words.ts';

/** Returns the place of a figure over cases. */
export function cohortPlaceWords(place: string): string {
  if (place === ALL_SENSORS) return 'all sensors together';
  return place === WHOLE_CASE ? 'no sensor (blind)' : placeWords(place);
}

/** Returns onset patterns that hold together; none is said too. */
export function patternsWords(patterns: readonly OnsetPattern[]): string {
  return patterns.length === 0 ? 'no pattern holds' : patterns.join(' + ');
}

/** Returns limits as "2.2 to 4.4 %"; why there are none where there are none. */
export function intervalWords({ lower, upper, reason }: Pick<NamedInterval, 'lower' | 'upper' | 'reason'>, textOf: (value: number) => string): string {
  if (lower === null || upper === null) return `none${reason === null ? '' : `: ${reason}`}`;
  return `${textOf(lower)} to ${upper === Infinity ? 'no limit' : textOf(upper)}`;
}

/** Returns a share with what the recording intervals leave open: "3.1 % (2.9–3.3 %)". */
export function shareRangeWords(share: Range3 | null): string {
  if (share === null) return '–';
  const [low, high] = [shareText(share.low), shareText(share.high)];
  return low === high ? shareText(share.mid) : `${shareText(share.mid)} (${low.replace(' %', '')}–${high})`;
}

/** Returns a length with what the recording intervals leave open: "40 s (20–60 s)". */
export function lengthWords(range: Range3 | null): string {
  if (range === null) return '–';
  const limits = limitsText(range);
  const mid = durationText(range.mid);
  return limits === mid ? mid : `${mid} (${limits})`;
}

/** Returns a rate per monitored hour with as many decimals as it is worth. */
export function rateWords(value: number | null): string {
  return value === null || !Number.isFinite(value) ? '–' : numberText(value, value !== 0 && value < 1 ? 2 : 1);
}

/** Returns a ratio with two decimals below ten. */
export function ratioWords(value: number): string {
  return numberText(value, value < 10 ? 2 : 1);
}

/** Returns a ratio with its interval, or why there is none. */
export function ratioFigureWords({ ratio, lower, upper, isUnbounded, reason }: RatioFigure): string {
  if (isUnbounded) return `no loss in control time: more than ${lower === null ? 'any number' : ratioWords(lower)}`;
  if (ratio === null) return `not defined: ${reason ?? 'no figure'}`;
  return `${ratioWords(ratio)}${lower === null || upper === null ? ' (no interval)' : ` (${ratioWords(lower)} to ${ratioWords(upper)})`}`;
}

/** Returns a p value: three decimals, "under 0.001", never 0. */
export function probabilityWords(p: number | null): string {
  if (p === null) return '–';
  return p < 0.001 ? 'under 0.001' : numberText(p, 3);
}

const CAUTION_WORDS: Readonly<Record<CohortCaution, string>> = {
  'association is not cause': 'Association in time is not cause: a bolus answers hypotension, and hypotension itself precedes loss.',
  'fewer than 10 units': 'Where fewer than 10 cases (or patients) stand behind an interval, it is too narrow: do not lean on it.',
  'coarse sampling': 'The recording interval is coarse for the lengths: the times between limits count, not the curve.',
  'longer losses see more done': 'The longer a loss lasts, the more is done: what was done may follow from length.',
  'times typed by hand': 'Times typed by hand are uncertain by minutes: order and distance may be wrong.',
  'pointwise band': 'Each point of a band holds by itself, not the band as a whole.',
};

/** Returns cautions as sentences, each once. */
export function cautionWords(cautions: readonly CohortCaution[]): string {
  return [...new Set(cautions)].map((caution) => CAUTION_WORDS[caution]).join(' ');
}

/** Returns what a chart is of, as a heading. */
export function measureWords({ measure, lossOf, longerThanS }: QualityDefinition): string {
  const what = lossOf === 'dropouts' ? { long: `a loss of more than ${longerThanS} s`, some: 'Losses', time: 'Share of monitored time lost' } : { long: `more than ${longerThanS} s without information at any sensor`, some: 'Times without information at any sensor', time: 'Share of time without information at any sensor' };
  const names: Readonly<Record<ChartMeasure, string>> = {
    'cases with a long loss': `Share of cases with ${what.long}`,
    'losses per hour': `${what.some} per monitored hour`,
    'share of time lost': what.time,
    'median duration': `Median length of ${lossOf === 'dropouts' ? 'the losses' : 'the times without information'}, seconds`,
    'cases between long losses': `Cases between two with ${what.long}`,
    'days between long losses': `Days between two cases with ${what.long}`,
  };
  return names[measure];
}

/** Returns a value of a chart as text. */
export function chartValueWords(measure: ChartMeasure, value: number | null): string {
  if (value === null) return '–';
  switch (measure) {
    case 'cases with a long loss':
    case 'share of time lost':
      return shareText(value);
    case 'losses per hour':
      return rateWords(value);
    case 'median duration':
      return durationText(value * 1000);
    case 'cases between long losses':
    case 'days between long losses':
      return plainNumberText(value, 1);
  }
}

const KIND_WORDS: Readonly<Record<ChartKind, string>> = {
  'line': 'points without a rule', 'run': 'run chart', 'p': 'p chart', 'p prime': 'p′ chart', 'u': 'u chart', 'u prime': 'u′ chart', 'xmr': 'XmR chart', 'g': 'g chart', 't': 't chart',
};

/** Returns the name of a kind of chart. */
export function kindWords(kind: ChartKind): string {
  return KIND_WORDS[kind];
}

/** Returns why a point stands out; '' where it does not. */
export function signalWords({ signals, state }: ChartPoint): string {
  return state === 'open' ? 'not over' : signals.join(', ');
}
