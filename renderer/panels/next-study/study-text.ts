import type { FormulaSize, LibrarySite, NextStudy, NextStudyOptions, NoStudyReason, Simulated, StudyCaution, WantedSize } from '../../../core/model/next-study.ts';
import { NO_STUDY_WORDS, STUDY_CAUTION_WORDS } from '../../../core/model/next-study-words.ts';
import { numberText, plainNumberText, shareText } from '../../format/number-text.ts';

/** Returns why nothing can be planned. */
export function reasonText(reason: NoStudyReason): string {
  return NO_STUDY_WORDS[reason];
}

/** Returns a caution in words. */
export function cautionText(caution: StudyCaution): string {
  return STUDY_CAUTION_WORDS[caution];
}

/** Returns an outcome with its unit: a share as per cent. */
export function outcomeText(value: number | null, { outcome }: Pick<NextStudyOptions, 'outcome'>): string {
  return outcome === 'share lost' ? shareText(value) : `${plainNumberText(value, 2)} per hour`;
}

/** Returns an effect in words: "0.5 times", "2 points more", "0.3 per hour less". */
export function effectText(value: number, { effect, outcome }: Pick<NextStudyOptions, 'effect' | 'outcome'>): string {
  if (effect === 'ratio') return `${plainNumberText(value, value < 0.1 ? 3 : 2)} times`;
  const size = outcome === 'share lost' ? `${plainNumberText(Math.abs(value) * 100, 2)} percentage points` : `${plainNumberText(Math.abs(value), 2)} per hour`;
  return `${size} ${value < 0 ? 'less' : 'more'}`;
}

/** Returns a half width: a factor for a ratio, else ± with its unit. */
export function halfWidthText(value: number | null, { effect, outcome }: Pick<NextStudyOptions, 'effect' | 'outcome'>): string {
  if (value === null) return '–';
  if (effect === 'ratio') return `× or ÷ ${plainNumberText(value, 2)}`;
  return outcome === 'share lost' ? `± ${plainNumberText(value * 100, 2)} points` : `± ${plainNumberText(value, 2)} per hour`;
}

/** Returns a simulated share with its error, in per cent. */
export function simulatedText({ value, error }: Simulated): string {
  return `${numberText(value * 100, 1)} % (error ${numberText(error * 100, 1)})`;
}

function patientsText(n: number, { design }: Pick<NextStudyOptions, 'design'>): string {
  return `${numberText(n)} patients${design === 'parallel' ? ' per group' : ''}`;
}

function wantedText({ n, low, high }: WantedSize, options: NextStudyOptions, most: number): string {
  if (n === null) return `more than ${patientsText(most, options)} would be needed`;
  const range = low === high ? '' : ` (the error of the simulation leaves ${numberText(low)} to ${high === null ? `more than ${numberText(most)}` : numberText(high)})`;
  return `about ${patientsText(n, options)} are needed${range}`;
}

function formulaText(formula: FormulaSize | null, n: number | null): string {
  return formula === null || n === null ? '' : ` A formula (${formula.method}) gives ${numberText(n)}.`;
}

/** Returns the answer in sentences; empty where nothing could be planned. */
export function answerTexts({ options, forPower, forHalfWidth, formula, most }: NextStudy): string[] {
  const { wantedPower, wantedHalfWidth, firstKey, secondKey, outcome, conf, design } = options;
  const figure = outcome === 'share lost' ? 'share of time lost' : 'rate of dropouts';
  const what = options.effect === 'ratio' ? `a ${figure} at the ${secondKey} of ${effectText(options.effectSize, options)} that at the ${firstKey}` : `a ${figure} at the ${secondKey} of ${effectText(options.effectSize, options)} than at the ${firstKey}`;
  const texts: string[] = [];
  if (forPower !== null && wantedPower !== null) {
    texts.push(`To find ${what}, with a power of ${plainNumberText(wantedPower * 100, 1)} %, ${wantedText(forPower, options, most)} in a ${design} study.${formulaText(formula, formula?.n ?? null)}`);
    const upper = formula?.nIfSpreadUpper ?? null;
    if (upper !== null && formula !== null) texts.push(`The patients of the library leave their spread open too: at its upper 80 % limit the formula gives ${patientsText(upper, options)}.`);
  }
  if (forHalfWidth !== null && wantedHalfWidth !== null) {
    texts.push(`For a ${plainNumberText(conf * 100, 1)} % interval of ${halfWidthText(wantedHalfWidth, options)} on average, ${wantedText(forHalfWidth, options, most)}.${formulaText(formula, formula?.nForHalfWidth ?? null)}`);
  }
  return texts;
}

/** Returns what the library says of a site, as the cells of a row: patients, without loss, mean, SD, total over total, dispersion. */
export function siteTexts(site: LibrarySite, options: NextStudyOptions): string[] {
  return [
    numberText(site.patients), numberText(site.withoutLoss), numberText(site.monitoredMs / 3_600_000, 1), outcomeText(site.mean, options), site.sd === null ? '–' : outcomeText(site.sd, options), outcomeText(site.pooled, options),
    site.dispersion === null ? '–' : plainNumberText(site.dispersion, 1),
  ];
}
