import { countWords } from '../base/count-words.ts';
import type { FormulaSize, LibrarySite, NextStudy, NextStudyOptions, PlannedStudy, Simulated, WantedSize } from '../model/next-study.ts';
import { NO_STUDY_WORDS, STUDY_CAUTION_WORDS } from '../model/next-study-words.ts';

/**
 * Returns next-study.md: what was asked, what the cases say, the answer, the cautions and how it was worked out, in plain words.
 * Shape   sizes one by one stand in next-study.csv.
 */
export function nextStudyStatement({ study, parameters, cases, notReviewed, leftOut }: PlannedStudy): string {
  const { options, first, second, reason, cautions } = study;
  return [
    '# The next study',
    '',
    `Asked: a ${options.design} study, ${options.secondKey} against ${options.firstKey}; outcome: ${options.outcome}; effect to be found: ${options.effect} ${options.effectSize}${unitOf(options)}.`,
    '',
    `From ${countWords(cases, 'case', 'cases')}${leftOut.length === 0 ? '' : ` (${leftOut.length} left out)`}, definition of a dropout “${parameters.name}”: at least ${parameters.minDurationS} s, bridging below ${parameters.bridgeS} s.`,
    ...(options.dropouts === 'confirmed' ? ['', confirmedWords(notReviewed)] : []),
    '',
    ...(first === null ? [] : [siteLine(options.firstKey, first, options)]),
    ...(second === null ? [] : [siteLine(options.secondKey, second, options)]),
    '',
    ...(reason === null ? answerLines(study) : [NO_STUDY_WORDS[reason]]),
    '',
    ...(cautions.length === 0 ? [] : ['## Before these sizes are used', '', ...cautions.map((caution) => `- ${STUDY_CAUTION_WORDS[caution]}`), '']),
    '## How it was worked out',
    '',
    `Whole patients of these cases were drawn with replacement, ${options.draws} studies per size (MT19937, seed ${options.seed}); the figures of the second site were multiplied by one factor that sets the effect. Power is the share of studies whose ${options.conf * 100} % interval leaves out no difference: ${methodOf(options)}. Beside it stands the power by ranks (${options.design === 'paired' ? 'signed ranks after Pratt' : 'rank sums'}, normal law). Errors are Monte Carlo standard errors; they say nothing of how well these cases stand for others. Association is not cause; only sensors worn at once, or assigned at random, answer which site gives more.`,
    '',
  ].join('\n');
}

function confirmedWords(notReviewed: number): string {
  return `Only dropouts that readers confirmed count. ${notReviewed === 0 ? 'Every dropout of these cases was read.' : `${countWords(notReviewed, 'dropout of these cases waits', 'dropouts of these cases wait')} to be read and ${notReviewed === 1 ? 'counts' : 'count'} as none: the losses are too low by an unknown part.`}`;
}

function unitOf({ effect, outcome }: NextStudyOptions): string {
  return effect === 'ratio' ? ' (second / first)' : outcome === 'share lost' ? ' (share of time, second − first)' : ' per hour (second − first)';
}

function siteLine(key: string, site: LibrarySite, { outcome }: NextStudyOptions): string {
  const figure = (value: number): string => (outcome === 'share lost' ? `${short(value * 100)} %` : `${short(value)} per hour`);
  return `- ${key}: ${countWords(site.patients, 'patient', 'patients')}, ${site.withoutLoss} without loss, ${short(site.monitoredMs / 3_600_000)} h monitored; mean ${figure(site.mean)}, SD between patients ${site.sd === null ? 'not defined' : figure(site.sd)}, total over total ${figure(site.pooled)}${site.dispersion === null ? '' : `; dispersion of dropouts ${short(site.dispersion)} (independent ones: 1)`}.`;
}

function answerLines({ options, forPower, forHalfWidth, formula, most, sizes }: NextStudy): string[] {
  const group = options.design === 'parallel' ? ' per group' : '';
  const words = ({ n, low, high }: WantedSize): string => (n === null ? `more than ${most} patients${group}` : `${n} patients${group} (the error of the simulation leaves ${low ?? `more than ${most}`} to ${high ?? `more than ${most}`})`);
  const beside = (own: FormulaSize | null, n: number | null): string => (own === null || n === null ? '' : ` The formula (${own.method}) gives ${n}.`);
  const lines: string[] = [];
  if (forPower !== null && options.wantedPower !== null) {
    const upper = formula?.nIfSpreadUpper ?? null;
    lines.push(`For a power of ${short(options.wantedPower * 100)} %: ${words(forPower)}.${beside(formula, formula?.n ?? null)}${upper === null ? '' : ` With the spread at its upper 80 % limit the formula gives ${upper}.`}`);
  }
  if (forHalfWidth !== null && options.wantedHalfWidth !== null) lines.push(`For an expected half width of ${options.wantedHalfWidth}${options.effect === 'ratio' ? ' (factor)' : ''}: ${words(forHalfWidth)}.${beside(formula, formula?.nForHalfWidth ?? null)}`);
  const shown = (one: Simulated | null): string => (one === null ? 'not defined' : short(one.value));
  return [...lines, '', ...sizes.map((size) => `- ${size.n} patients${group}: power ${shown(size.power)} (error ${short(size.power.error)}), by ranks ${shown(size.rankPower)}; expected half width ${shown(size.halfWidth)}; coverage ${shown(size.coverage)}.`)];
}

function methodOf({ design, effect }: NextStudyOptions): string {
  if (effect === 'ratio') return `log ratio of the totals with its error over patients${design === 'paired' ? ' (both totals of the same patients)' : ''}, Student’s t`;
  return design === 'paired' ? 'paired t' : 'Welch’s t';
}

function short(value: number): string {
  return String(Number(value.toPrecision(3)));
}
