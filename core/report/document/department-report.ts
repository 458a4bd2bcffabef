import { countWords } from '../../base/count-words.ts';
import { durationText } from '../../base/duration-text.ts';
import { countText, numberText, shareText } from '../../base/number-text.ts';
import type { ActionView } from '../../model/action.ts';
import { CAUTIONS } from '../../model/cautions.ts';
import type { CohortExport } from '../../model/cohort-export.ts';
import { ALL_SENSORS, WHOLE_CASE, type BurdenRow, type CaseBurdenRow } from '../../model/cohort-burden.ts';
import { UNSTATED } from '../../model/cohort-options.ts';
import { definitionText } from '../../model/definition-text.ts';
import type { FileReport } from '../../model/import-report.ts';
import { DEFAULT_PARAMETERS } from '../../model/parameters.ts';
import type { AgreementScale, ReviewAgreement } from '../../model/review-agreement.ts';
import type { QualityChartView } from '../../model/quality-chart.ts';
import type { ReportBlock, ReportDocument, ReportTable, ReportWishes } from '../../model/report-document.ts';
import { inOrder } from '../case-context.ts';
import type { UnanalyzedCase } from '../import-report-file.ts';
import { methodWords, noteWithMethod } from './method-words.ts';
import { digestsText, SHORT_DIGEST } from './case-sheet.ts';
import { reviewCountWords } from './case-words.ts';
import { followUpPart } from './follow-up-table.ts';
import { chartFigure, patternFigure, ratioFigure, shareFigure } from './cohort-figures.ts';
import {
  cautionWords, chartValueWords, cohortPlaceWords, intervalWords, kindWords, lengthWords, measureWords, patternsWords, probabilityWords, rateWords, ratioFigureWords, shareRangeWords, signalWords,
} from './department-words.ts';

const MOST_CASES = 15;
const MOST_REASONS = 10;
const MOST_FILES = 30;

/** What a department report is made of. */
export interface DepartmentGiven {
  readonly run: CohortExport;
  /** Actions of the library, of which the report tells what became; left out, or null: nobody gave any. */
  readonly actions?: readonly ActionView[] | null | undefined;
  /** What became of every input file; null: the cases come from a library, whose ledger has it. */
  readonly files: readonly FileReport[] | null;
  readonly unanalyzed: readonly UnanalyzedCase[];
  /** SHA-256 of the inputs; empty where the cases come from a library. */
  readonly inputDigests: readonly string[];
  /** How far readers agree; null: nobody has read what another has. Left out: nobody asked. */
  readonly agreement?: ReviewAgreement | null | undefined;
  /** Cases of which the one who makes the report may not see what others said: they are not in the agreement. */
  readonly agreementHidden?: number | undefined;
}

/**
 * Returns the report of a department over a time: burden, charts, what preceded loss, cases worth discussing, definition and cautions,
 * quality of the data.
 * Shape   every number is one of the run; the same run gives the same document. Cases stand under the names that they have in the run.
 * Source  handbook 9.3, 11.1 (what a quality lead hands over), 12 (cautions).
 */
export function departmentReport(given: DepartmentGiven, { header, paper }: ReportWishes): ReportDocument {
  const { results } = given.run;
  return {
    title: 'Department report',
    subtitle: `When pulse oximetry gave no information: ${periodOf(given.run)}`,
    language: 'en',
    header,
    footer: `Lacuna ${results.productVersion} · definition “${results.parameters.name}” · inputs ${given.files === null ? 'as in the ledger of the library' : digestsText(given.inputDigests)}`,
    paper,
    isDense: false,
    blocks: [
      ...inShort(given),
      ...flowPart(given.run),
      ...burdenPart(given.run),
      ...patternsPart(given.run),
      ...readersPart(given),
      ...chartsPart(given.run),
      ...beforePart(given.run),
      ...restorationPart(given.run),
      ...coveragePart(given.run),
      ...casesPart(results.burden.cases),
      ...followUpPart(given.actions ?? null, results.options.choice.from),
      ...definitionPart(given.run),
      ...qualityPart(given),
      { kind: 'heading', level: 2, text: 'Cautions' },
      { kind: 'list', isNumbered: true, items: CAUTIONS.map(({ title, text }) => `${title}. ${text}`) },
      ...provenancePart(given),
    ],
  };
}

function periodOf({ results: { options, burden } }: CohortExport): string {
  const { from, to } = options.choice;
  const months = burden.rows.flatMap(({ scope, value }) => (scope === 'month' && value !== null && value !== '' ? [value] : [])).sort(inOrder);
  const [first, last] = [months[0], months[months.length - 1]];
  if (from !== null || to !== null) return `${from ?? first ?? 'the first case'} to ${to ?? last ?? 'the last case'}`;
  return first === undefined ? 'cases without a date' : first === last ? first : `${first} to ${last}`;
}

function allOf({ results }: CohortExport): readonly BurdenRow[] {
  return results.burden.rows.filter(({ scope }) => scope === 'all');
}

function pctOf({ results }: CohortExport): string {
  return `${Number((results.options.conf * 100).toPrecision(4))} %`;
}

function inShort({ run, actions }: DepartmentGiven): ReportBlock[] {
  const rows = allOf(run);
  const all = rows.find(({ place }) => place === ALL_SENSORS)?.primary;
  const blind = rows.find(({ place }) => place === WHOLE_CASE)?.primary;
  const standing = run.charts.flatMap((view) => view.points.filter(({ signals }) => signals.length > 0));
  if (all === undefined || all.share === null) return [{ kind: 'paragraph', tone: 'lead', text: 'No sensor was monitored in any of the cases: nothing can be said about losses.' }];
  return [
    {
      kind: 'paragraph', tone: 'lead',
      text: `In ${countText(all.cases, 'case', 'cases')} and ${durationText(all.monitoredMs)} monitored at all sensors together, information was lost ${numberText(all.dropouts)} times: ${shareRangeWords(all.share)} of the time (${pctOf(run)} interval ${intervalWords(all.shareInterval, shareText)}), in ${numberText(all.casesWithDropout)} cases (${shareText(all.withDropout)}). Half of the losses were longer than ${lengthWords(all.medianMs)}.`,
    },
    ...(blind === undefined ? [] : [{ kind: 'paragraph', tone: 'plain', text: `At no sensor was there information ${numberText(blind.dropouts)} times, ${lengthWords(blind.lostMs)} in all, in ${countText(blind.casesWithDropout, 'case', 'cases')}.` } as const]),
    {
      kind: 'paragraph', tone: 'plain',
      text: run.charts.every(({ points }) => points.length < 2) ? 'There are too few months for a course.' : standing.length === 0 ? 'In the charts by month no point stands out. That is no proof that nothing changed.' : `In the charts by month ${countWords(standing.length, 'point stands', 'points stand')} out; see below.`,
    },
    { kind: 'heading', level: 2, text: 'On one page, in plain words' },
    { kind: 'list', isNumbered: false, items: plainSentences(run, actions ?? null) },
  ];
}

/** What a reader without time takes along: where, how it began, what went before, what would have helped, what is open, and what cannot be said. */
function plainSentences(run: CohortExport, actions: readonly ActionView[] | null): string[] {
  const { burden, sites, restoration, beforeLoss } = run.results;
  const rows = allOf(run);
  const places = rows.filter(({ place, primary }) => place !== ALL_SENSORS && place !== WHOLE_CASE && primary.share !== null);
  const intervals = new Set(places.flatMap((row) => row.intervals.map(({ intervalMs }) => intervalMs)));
  const [first] = run.patterns.rows.filter(({ patterns }) => patterns.length > 0);
  const without = run.patterns.rows.find(({ patterns }) => patterns.length === 0)?.losses ?? 0;
  const all = restoration.groups.find(({ kind }) => kind === 'all')?.curves.find(({ bound }) => bound === 'mid');
  const bolus = beforeLoss.rates.find(({ kind, label, siteKey }) => kind === 'vasopressor bolus' && label === null && siteKey === null);
  const look = burden.cases.filter(({ dropouts, place }) => place === WHOLE_CASE && dropouts > 0).length;
  const open = (actions ?? []).filter(({ state }) => state !== 'closed' && state !== 'not carried out');
  const unmeasured = open.filter(({ last }) => last === null).length;
  return [
    ...(places.length === 0 ? [] : [`Where: share of time lost ${places.map(({ place, primary }) => `${cohortPlaceWords(place)} ${shareText(primary.share?.mid ?? null)} (${countText(primary.cases, 'case', 'cases')})`).join(', ')}. Places stand in a fixed order, not by rank: sensors were chosen by people, often because another had failed.`]),
    ...(all === undefined || all.median.estimateMs === null ? [] : [`How long: half of the losses were over within ${durationText(all.median.estimateMs)}.`]),
    ...(run.patterns.losses === 0 ? [] : [`How it began: ${first === undefined ? 'no pattern holds for any loss' : `most often the pattern ${patternsWords(first.patterns)}, in ${numberText(first.losses)} of ${numberText(run.patterns.losses)} losses`}; for ${numberText(without)} no pattern holds. A pattern is evidence, not a verdict.`]),
    ...(bolus === undefined || bolus.figure.ratio === null ? [] : [`What went before: after a bolus of a vasopressor losses began ${ratioFigureWords(bolus.figure)} times as often as in control time of the same cases (${pctOf(run)} interval). That is association, not cause.`]),
    ...(sites.coverage.length === 0 ? [] : [`A second sensor: ${sites.coverage.filter(({ share }) => share !== null).map(({ lostKey, otherKey, share }) => `of the time lost at the ${cohortPlaceWords(lostKey)} the ${cohortPlaceWords(otherKey)} had information in ${shareText(share)}`).join('; ')}.`]),
    `To look at: ${countText(look, 'case', 'cases')} with a time without information at any sensor; the longest stand below under “Cases worth discussing”.`,
    ...(actions === null ? [] : [open.length === 0 ? 'Actions: none is open.' : `Actions: ${numberText(open.length)} open, ${numberText(unmeasured)} of them not measured again yet.`]),
    ...(intervals.size > 1 ? ['Cases were recorded at different intervals: numbers of losses must not be compared between them, shares of time can be with care.'] : []),
    'What this cannot say: whether a display was blank, whether anybody noticed, and what saturation was meanwhile. There is no number from elsewhere to compare with: each study counts in its own way.',
  ];
}

function flowPart(run: CohortExport): ReportBlock[] {
  return [{ kind: 'heading', level: 2, text: 'Which cases' }, { kind: 'table', table: flowTable(run) }];
}

/** How the losses began: every loss counts once, under all patterns that hold for it. */
function patternsPart({ patterns: counts, results: { selection } }: CohortExport): ReportBlock[] {
  if (counts.losses === 0) return [];
  const told = counts.rows.map((row, i) => ({ ...row, upTo: counts.rows.slice(0, i + 1).reduce((sum, { losses }) => sum + losses, 0) }));
  return [
    { kind: 'heading', level: 2, text: 'How losses began' },
    {
      kind: 'figure', figure: patternFigure(counts),
      table: {
        caption: `Onset patterns of ${countText(counts.losses, 'loss', 'losses')}, ${selection}`,
        columns: [{ heading: 'Patterns that hold', align: 'start' }, { heading: 'Losses', align: 'end' }, { heading: 'Share of losses', align: 'end' }, { heading: 'Added up', align: 'end' }, { heading: 'Cases', align: 'end' }, { heading: 'Time lost (mid)', align: 'end' }, { heading: 'Share of time lost', align: 'end' }],
        rows: told.map(({ patterns, losses, cases, lostMs, upTo }) => [patternsWords(patterns), numberText(losses), shareText(losses / counts.losses), shareText(upTo / counts.losses), numberText(cases), durationText(lostMs), counts.lostMs === 0 ? '–' : shareText(lostMs / counts.lostMs)]),
        note: noteWithMethod('Several patterns may hold for one loss. What a record does not hold (perfusion index, temperature, cuff times) can make no pattern hold: few patterns may mean few channels. None of them says why.', 'methods/onset-patterns'),
      },
    },
  ];
}


function flowTable({ results: { flow } }: CohortExport): ReportTable {
  return {
    caption: 'Flow of cases',
    columns: [{ heading: 'Step', align: 'start' }, { heading: 'Cases', align: 'end' }, { heading: 'Left out before it', align: 'start' }],
    rows: flow.steps.map(({ step, cases, leftOut }) => [step, numberText(cases), leftOut.length === 0 ? 'none' : leftOut.map((one) => `${one.cases.length}: ${one.reason}`).join('; ')]),
    note: noteWithMethod(`Unit of every interval: ${flow.unit === 'case' ? 'the case' : 'the patient'} (${numberText(flow.units)}). Without a date: ${numberText(flow.undated)}.`, 'metrics/burden'),
  };
}

function burdenPart(run: CohortExport): ReportBlock[] {
  const { groupBy, conf } = run.results.options;
  const rows = allOf(run);
  if (rows.length === 0) return [];
  const byPlace = (row: BurdenRow): string => cohortPlaceWords(row.place);
  const blocks: ReportBlock[] = [
    { kind: 'heading', level: 2, text: 'How often and how long' },
    { kind: 'figure', figure: shareFigure(rows, conf), table: timeTable('Time lost by place of the sensor', rows, run, byPlace) },
    { kind: 'table', table: countTable('Losses by place of the sensor', rows, run, byPlace) },
  ];
  const groups = run.results.burden.rows.filter(({ scope, place }) => scope === 'group' && place === ALL_SENSORS);
  if (groupBy !== null && groups.length > 0) {
    const by = groupBy.kind === 'column' ? `the column “${groupBy.column}”` : groupBy.kind;
    const byValue = (row: BurdenRow): string => (row.value === null || row.value === UNSTATED ? 'not stated' : row.value);
    blocks.push({ kind: 'table', table: timeTable(`Time lost by ${by}, all sensors together`, groups, run, byValue) }, { kind: 'table', table: countTable(`Losses by ${by}, all sensors together`, groups, run, byValue) });
  }
  return [...blocks, ...run.results.burden.warnings.map((text): ReportBlock => ({ kind: 'paragraph', tone: 'soft', text }))];
}

/** Returns time lost of each row. */
function timeTable(caption: string, rows: readonly BurdenRow[], run: CohortExport, nameOf: (row: BurdenRow) => string): ReportTable {
  return {
    caption,
    columns: [
      { heading: '', align: 'start' }, { heading: 'Cases', align: 'end' }, { heading: 'Monitored', align: 'end' }, { heading: 'Lost', align: 'end' }, { heading: 'Share lost (low–high)', align: 'end' },
      { heading: `${pctOf(run)} interval`, align: 'end' }, { heading: 'Doubtful as lost', align: 'end' },
    ],
    rows: rows.map((row) => {
      const { primary: p, doubtfulLost } = row;
      return [nameOf(row), numberText(p.cases), durationText(p.monitoredMs), durationText(p.lostMs.mid), shareRangeWords(p.share), intervalWords(p.shareInterval, shareText), shareText(doubtfulLost.share?.mid ?? null)];
    }),
    note: noteWithMethod('Low–high: what the recording intervals leave open. Interval: from case to case. Rows stand in the order of their names, not by rank; few cases give wide intervals.', 'metrics/burden', 'methods/intervals-over-cases'),
  };
}

/** Returns the losses of each row by number. */
function countTable(caption: string, rows: readonly BurdenRow[], run: CohortExport, nameOf: (row: BurdenRow) => string): ReportTable {
  return {
    caption,
    columns: [
      { heading: '', align: 'start' }, { heading: 'Losses', align: 'end' }, { heading: 'Per hour', align: 'end' }, { heading: `${pctOf(run)} interval`, align: 'end' },
      { heading: 'Cases with one', align: 'end' }, { heading: `${pctOf(run)} interval`, align: 'end' }, { heading: 'Median length (low–high)', align: 'end' },
    ],
    rows: rows.map((row) => {
      const { primary: p } = row;
      return [nameOf(row), numberText(p.dropouts), rateWords(p.perHour), intervalWords(p.perHourInterval, rateWords), `${numberText(p.casesWithDropout)} (${shareText(p.withDropout)})`, intervalWords(p.withDropoutInterval, shareText), lengthWords(p.medianMs)];
    }),
    note: noteWithMethod('Counts of losses from records with different recording intervals must not be compared; shares of time survive better.', 'metrics/burden'),
  };
}

/** What readers said: the state of review, confirmed beside computed, and how far they agree. Nothing where nobody asked. */
function readersPart({ run, agreement, agreementHidden = 0 }: DepartmentGiven): ReportBlock[] {
  const { review, beside, options, selection } = run.results;
  if (options.dropouts === 'computed') return [];
  const heading: ReportBlock = { kind: 'heading', level: 2, text: 'What readers said' };
  const excluded = run.results.flow.steps.flatMap(({ leftOut }) => leftOut).filter(({ reason }) => reason.startsWith('flagged by a reader')).reduce((sum, { cases }) => sum + cases.length, 0);
  const state: ReportBlock = {
    kind: 'paragraph', tone: 'plain',
    text: `${reviewCountWords(review)}. In ${numberText(review.casesRead)} of ${countText(review.casesWithDropout, 'case with a loss', 'cases with a loss')} every loss has an outcome.${review.without === 0 ? '' : ` ${countText(review.without, 'verdict stands', 'verdicts stand')} at no loss under this definition.`}${excluded === 0 ? '' : ` ${countText(excluded, 'case was', 'cases were')} left out because a reader flagged ${excluded === 1 ? 'it' : 'them'}.`} A verdict is what a reader made of the record, not what happened.`,
  };
  if (beside.length === 0) return [heading, state, { kind: 'paragraph', tone: 'plain', text: 'No loss of these cases was reviewed: nothing is confirmed, and every figure is of computed losses.' }];
  const selections = [{ selection, burden: run.results.burden }, ...beside];
  const places = [...new Set(allOf(run).map(({ place }) => place))];
  return [
    heading,
    state,
    {
      kind: 'table',
      table: {
        caption: 'Computed and confirmed losses side by side',
        columns: [
          { heading: '', align: 'start' }, { heading: 'Losses', align: 'start' }, { heading: 'Number', align: 'end' }, { heading: 'Lost', align: 'end' }, { heading: 'Share lost (low–high)', align: 'end' },
          { heading: `${pctOf(run)} interval`, align: 'end' }, { heading: 'Cases with one', align: 'end' },
        ],
        rows: places.flatMap((place) => selections.flatMap(({ selection: of, burden }) => burden.rows.filter((row) => row.scope === 'all' && row.place === place).map(({ primary: p }) => [
          cohortPlaceWords(place), of, numberText(p.dropouts), durationText(p.lostMs.mid), shareRangeWords(p.share), intervalWords(p.shareInterval, shareText), `${numberText(p.casesWithDropout)} (${shareText(p.withDropout)})`,
        ]))),
        note: noteWithMethod(`Confirmed: the least that readers stand for, with corrected bounds; not refuted: the most that can be among what was computed. ${review.notReviewed === 0 ? '' : 'While losses are not reviewed confirmed figures are too low by an unknown part. '}Everything else in this report is of ${selection} losses.`, 'metrics/confirmed'),
      },
    },
    ...(agreement === undefined ? [] : agreementPart(agreement)),
    ...(agreement === undefined || agreementHidden === 0 ? [] : [{ kind: 'paragraph', tone: 'soft', text: `What others said of ${countText(agreementHidden, 'case', 'cases')} is hidden from the reader who made this report: the agreement is without ${agreementHidden === 1 ? 'it' : 'them'}.` } as const]),
  ];
}

const AGREEMENT_WORDS = { 'percent agreement': 'agreement', 'kappa': 'kappa', 'PABAK': 'prevalence- and bias-adjusted kappa', 'AC1': 'AC1' } as const;

function agreementPart(agreement: ReviewAgreement | null): ReportBlock[] {
  const pair = agreement?.pair ?? null;
  if (agreement === null || pair === null) return [{ kind: 'paragraph', tone: 'soft', text: 'No two readers have read a loss in common, both without knowing what the other said: there is no agreement to state.' }];
  const table = (scale: AgreementScale): string[][] => {
    const found = pair.tables.find((one) => one.scale === scale);
    return (found?.figures ?? []).flatMap(({ figure, estimate, lower, upper }) => {
      const words = figure in AGREEMENT_WORDS ? AGREEMENT_WORDS[figure as keyof typeof AGREEMENT_WORDS] : null; // the keys of the constant
      if (words === null) return [];
      const text = (value: number | null): string => (value === null ? '–' : figure === 'percent agreement' ? shareText(value) : numberText(value, 2));
      return [[scale, words, numberText(found?.dropouts ?? 0), text(estimate), lower === null || upper === null ? 'none' : `${text(lower)} to ${text(upper)}`]];
    });
  };
  return [{
    kind: 'table',
    table: {
      caption: 'How far two readers agree, both blinded',
      columns: [{ heading: 'Verdicts compared as', align: 'start' }, { heading: 'Figure', align: 'start' }, { heading: 'Losses', align: 'end' }, { heading: 'Estimate', align: 'end' }, { heading: `${Number((agreement.options.conf * 100).toPrecision(4))} % interval`, align: 'end' }],
      rows: [...table('loss or no loss'), ...table('kind of verdict')],
      note: noteWithMethod(`${countText(pair.common, 'loss', 'losses')} of ${countText(pair.cases, 'case', 'cases')} read by both. Words for sizes of kappa are arbitrary; where nearly all are alike kappa is low though readers agree. Readers saw what the program found: what it missed is not among it.`, 'methods/rater-agreement'),
    },
  }];
}

function chartsPart(run: CohortExport): ReportBlock[] {
  const drawn = run.charts.filter(({ points }) => points.length > 1);
  const left = run.charts.filter(({ points }) => points.length <= 1);
  return [
    { kind: 'heading', level: 2, text: 'Charts by month' },
    { kind: 'paragraph', tone: 'plain', text: 'Limits come from the first points, up to 24, as no person fixed a baseline; they are three standard deviations from the centre. Points within limits vary as chance makes them: change the system, do not chase the case.' },
    ...drawn.flatMap((view): ReportBlock[] => [
      { kind: 'heading', level: 3, text: measureWords(view.chart.definition) },
      { kind: 'paragraph', tone: 'plain', text: chartSentence(view) },
      { kind: 'figure', figure: chartFigure(view), table: chartTable(view) },
      ...view.effects.map((effect): ReportBlock => ({ kind: 'paragraph', tone: 'plain', text: effectSentence(view, effect, pctOf(run)) })),
    ]),
    ...(left.length === 0 ? [] : [{ kind: 'paragraph', tone: 'soft', text: `Not drawn, for want of two points: ${left.map(({ chart }) => measureWords(chart.definition)).join('; ')}.` } as const]),
  ];
}

function chartSentence({ chart, points, runs, choice }: QualityChartView): string {
  const kind = chart.phases[0]?.kind ?? 'line';
  const beyond = points.filter(({ signals }) => signals.includes('beyond the limits')).length;
  const judged = runs.filter(({ isJudged }) => isJudged);
  const told = judged.map(({ longestRun, longestRunLimit, crossings, crossingsLimit, isLongRun, isFewCrossings }) => `Longest run ${longestRun} (more than ${longestRunLimit ?? '–'} would be a signal${isLongRun ? ': it is' : ''}), ${crossings} crossings of the centre (fewer than ${crossingsLimit ?? '–'} would be a signal${isFewCrossings ? ': they are' : ''})`);
  const limits = kind === 'line' || kind === 'run' ? '' : beyond === 0 ? ' No point lies beyond the limits.' : ` ${countWords(beyond, 'point lies', 'points lie')} beyond the limits.`;
  return `${countText(points.length, 'point', 'points')}, drawn as ${kindWords(kind)} (${choice.reason}).${limits} ${told.length === 0 ? 'Runs are judged from 10 points off the centre line on.' : `${told.join('. ')}.`}`;
}

function chartTable({ chart, points }: QualityChartView): ReportTable {
  const { measure } = chart.definition;
  const text = (value: number | null): string => chartValueWords(measure, value);
  return {
    caption: `Figures of the chart: ${measureWords(chart.definition)}`,
    columns: [{ heading: 'Point', align: 'start' }, { heading: 'Cases', align: 'end' }, { heading: 'Value', align: 'end' }, { heading: 'Centre', align: 'end' }, { heading: 'Limits', align: 'end' }, { heading: 'Stands out', align: 'start' }],
    rows: points.map((point) => [point.label, numberText(point.cases), text(point.value), text(point.centre), point.lower === null && point.upper === null ? '–' : `${text(point.lower)} to ${text(point.upper)}`, signalWords(point)]),
    note: methodWords('methods/quality-charts'),
  };
}

function effectSentence({ chart }: QualityChartView, { changeId, compared, before, after, effect }: QualityChartView['effects'][number], pct: string): string {
  const change = chart.changes.find((one) => one.changeId === changeId);
  const text = (value: number | null): string => (compared === 'per hour' ? rateWords(value) : compared === 'median seconds' ? durationText(value === null ? null : value * 1000) : shareText(value));
  const size = effect.estimate === null ? `not defined: ${effect.reason ?? 'no figure'}` : `${effect.kind} ${numberText(effect.estimate, 2)} (${pct} interval ${effect.lower === null || effect.upper === null ? 'none' : `${numberText(effect.lower, 2)} to ${numberText(effect.upper, 2)}`})`;
  return `Change on ${change?.date ?? ''}, ${change?.text ?? ''}: before ${text(before.estimate)} in ${countText(before.cases, 'case', 'cases')}, after ${text(after.estimate)} in ${countText(after.cases, 'case', 'cases')}; ${size}. What else changed at that time is not known.`;
}

function beforePart(run: CohortExport): ReportBlock[] {
  const { beforeLoss, options } = run.results;
  const rates = beforeLoss.rates.filter(({ siteKey, exposures }) => siteKey === null && exposures > 0).map((rate) => ({ name: rate.label ?? (rate.kind === 'vasopressor bolus' ? 'any bolus' : 'any change of position'), rate }));
  const heading: ReportBlock = { kind: 'heading', level: 2, text: 'What preceded loss' };
  if (rates.length === 0) return [heading, { kind: 'paragraph', tone: 'plain', text: 'No bolus of a vasopressor and no change of position is on record in these cases.' }];
  const { bolusS, positionS, preS } = beforeLoss.windows;
  return [
    heading,
    { kind: 'paragraph', tone: 'plain', text: `Losses that began ${bolusS.join(' to ')} s after a bolus, or ${positionS.join(' to ')} s after a change of position, against control time of the same cases. The ${preS} s before an exposure count as neither.` },
    {
      kind: 'figure', figure: ratioFigure(rates, options.conf),
      table: {
        caption: 'Rates of loss after exposures, all sensors together',
        columns: [
          { heading: 'Exposure', align: 'start' }, { heading: 'On record', align: 'end' }, { heading: 'Cases used', align: 'end' }, { heading: 'Losses after it', align: 'end' }, { heading: 'Time after it', align: 'end' },
          { heading: 'Losses in control', align: 'end' }, { heading: 'Control time', align: 'end' }, { heading: `Rate ratio (${pctOf(run)} interval)`, align: 'end' }, { heading: 'p', align: 'end' },
        ],
        rows: rates.map(({ name, rate }) => [
          name, `${numberText(rate.exposures)}${rate.exposuresByHand === 0 ? '' : ` (${numberText(rate.exposuresByHand)} by hand)`}`, numberText(rate.casesUsed), numberText(rate.riskOnsets), durationText(rate.riskMs), numberText(rate.controlOnsets), durationText(rate.controlMs), ratioFigureWords(rate.figure), probabilityWords(rate.figure.p),
        ]),
        note: noteWithMethod(cautionWords(['association is not cause', ...beforeLoss.cautions, ...rates.flatMap(({ rate }) => rate.cautions)]), 'methods/rates-after-exposures'),
      },
    },
  ];
}

function restorationPart(run: CohortExport): ReportBlock[] {
  const { groups, limitMs, cautions } = run.results.restoration;
  const shown = groups.filter(({ kind, losses }) => (kind === 'all' || kind === 'site') && losses > 0);
  if (shown.length === 0) return [];
  return [
    { kind: 'heading', level: 2, text: 'How long until information came back' },
    {
      kind: 'table',
      table: {
        caption: 'Time to information at the sensor that lost it',
        columns: [
          { heading: '', align: 'start' }, { heading: 'Losses', align: 'end' }, { heading: 'Came back', align: 'end' }, { heading: 'Cases', align: 'end' }, { heading: `Median (${pctOf(run)} interval)`, align: 'end' },
          { heading: 'Median from low and high lengths', align: 'end' }, { heading: `Mean up to ${durationText(limitMs)}`, align: 'end' },
        ],
        rows: shown.map(({ kind, of, losses, restored, cases, curves }) => {
          const curve = (bound: string): (typeof curves)[number] | undefined => curves.find((one) => one.bound === bound);
          const mid = curve('mid');
          const interval = (lower: number | null, upper: number | null): string => (lower === null && upper === null ? '' : ` (${lower === null ? '–' : durationText(lower)} to ${upper === null ? 'not reached' : durationText(upper)})`);
          return [
            kind === 'all' ? 'all losses' : cohortPlaceWords(of), numberText(losses), numberText(restored), numberText(cases),
            mid === undefined || mid.median.estimateMs === null ? 'not reached' : `${durationText(mid.median.estimateMs)}${interval(mid.median.lowerMs, mid.median.upperMs)}`,
            `${durationText(curve('low')?.median.estimateMs ?? null)} to ${durationText(curve('high')?.median.estimateMs ?? null)}`,
            mid === undefined || mid.mean.estimateMs === null ? `not defined: ${mid?.mean.reason ?? 'no times'}` : `${durationText(mid.mean.estimateMs)}${interval(mid.mean.lowerMs, mid.mean.upperMs)}`,
          ];
        }),
        note: noteWithMethod(['A loss that ended at another sensor, or at the end of the record, counts as followed up to there.', cautionWords([...cautions, ...shown.flatMap((group) => group.cautions)])].join(' ').trim(), 'methods/time-to-information'),
      },
    },
  ];
}

function coveragePart(run: CohortExport): ReportBlock[] {
  const { coverage } = run.results.sites;
  if (coverage.length === 0) return [];
  return [
    { kind: 'heading', level: 2, text: 'What a second sensor covered' },
    {
      kind: 'table',
      table: {
        caption: 'Of the time lost at one sensor, the share in which another, worn at the same time, had information',
        columns: [{ heading: 'Lost at', align: 'start' }, { heading: 'Other sensor', align: 'start' }, { heading: 'Cases', align: 'end' }, { heading: 'Lost together with it worn', align: 'end' }, { heading: 'Covered', align: 'end' }, { heading: `Share (${pctOf(run)} interval)`, align: 'end' }],
        rows: coverage.map(({ lostKey, otherKey, cases, lostMs, coveredMs, share, interval }) => [cohortPlaceWords(lostKey), cohortPlaceWords(otherKey), numberText(cases), durationText(lostMs), durationText(coveredMs), share === null ? 'nothing lost' : `${shareText(share)} (${intervalWords(interval, shareText)})`]),
        note: noteWithMethod('Every loss counts here, however short. Only sensors worn at the same time, or assigned at random, answer which is better; which were worn was a choice.', 'metrics/site-pairs'),
      },
    },
  ];
}

function casesPart(rows: readonly CaseBurdenRow[]): ReportBlock[] {
  const sensors = new Map<string, number>();
  for (const { caseKey, place } of rows) if (place !== WHOLE_CASE) sensors.set(caseKey, (sensors.get(caseKey) ?? 0) + 1);
  // A sensor that was the only one says the same as its case.
  const lost = rows.filter(({ dropouts, place, caseKey }) => dropouts > 0 && (place === WHOLE_CASE || (sensors.get(caseKey) ?? 0) > 1));
  const longest = [...lost].sort((a, b) => (b.longestMidMs ?? 0) - (a.longestMidMs ?? 0) || inOrder(a.caseId, b.caseId) || inOrder(a.place, b.place));
  const heading: ReportBlock = { kind: 'heading', level: 2, text: 'Cases worth discussing' };
  if (longest.length === 0) return [heading, { kind: 'paragraph', tone: 'plain', text: 'No case has a loss that counts under this definition.' }];
  const several = (caseKey: string): boolean => (sensors.get(caseKey) ?? 0) > 1;
  return [
    heading,
    {
      kind: 'table',
      table: {
        caption: `The longest losses${longest.length > MOST_CASES ? ` (${MOST_CASES} of ${numberText(longest.length)} rows)` : ''}`,
        columns: [{ heading: 'Case', align: 'start' }, { heading: 'Month', align: 'start' }, { heading: 'Where', align: 'start' }, { heading: 'Longest (mid)', align: 'end' }, { heading: 'Lost in all (low–high)', align: 'end' }, { heading: 'Losses', align: 'end' }, { heading: 'Share of monitored', align: 'end' }],
        rows: longest.slice(0, MOST_CASES).map((row) => [row.caseId, row.month === '' ? 'undated' : row.month, row.place === WHOLE_CASE ? (several(row.caseKey) ? 'no sensor (blind)' : 'the one sensor') : cohortPlaceWords(row.place), durationText(row.longestMidMs), lengthWords(row.lostMs), numberText(row.dropouts), shareRangeWords(row.share)]),
        note: noteWithMethod('A long loss is a reason to look, not a finding: see what happened around it, and whether it was noted. No person and no unit is ranked.', 'methods/dropout'),
      },
    },
  ];
}

function definitionPart(run: CohortExport): ReportBlock[] {
  const { parameters, robustness } = run.results;
  const defaults: Readonly<Record<string, unknown>> = { ...DEFAULT_PARAMETERS };
  const changed = Object.entries(parameters).filter(([name, value]) => name !== 'name' && JSON.stringify(value) !== JSON.stringify(defaults[name])).map(([name, value]) => `${name} = ${JSON.stringify(value)}`);
  const figure = (point: (typeof robustness)[number], result: 'share lost' | 'dropouts per hour', textOf: (value: number) => string): string => {
    const found = point.figures.find((one) => one.result === result && one.of === ALL_SENSORS);
    return found === undefined || found.estimate === null ? '–' : `${textOf(found.estimate)} (${intervalWords(found, textOf)})`;
  };
  return [
    { kind: 'heading', level: 2, text: 'Definitions' },
    { kind: 'paragraph', tone: 'plain', text: `Definition in force: ${definitionText(parameters)}. ${changed.length === 0 ? 'All parameters are the defaults of the program.' : `Other than the defaults: ${changed.join('; ')}.`} Rates of other reports hold only under their own definitions.` },
    { kind: 'table', table: WORDS_TABLE },
    {
      kind: 'table',
      table: {
        caption: 'How much hangs on the definition (all sensors together)',
        columns: [{ heading: 'Moved', align: 'start' }, { heading: 'Minimum length', align: 'end' }, { heading: 'Bridging', align: 'end' }, { heading: 'Doubtful as lost', align: 'start' }, { heading: `Share lost (${pctOf(run)} interval)`, align: 'end' }, { heading: `Losses per hour (${pctOf(run)} interval)`, align: 'end' }],
        rows: robustness.filter(({ moved }) => moved !== 'lookBackFactor').map((point) => [
          point.moved === null ? 'as reported' : MOVED_WORDS[point.moved], `${point.definition.minDurationS} s`, `${point.definition.bridgeS} s`, point.definition.doubtfulLost ? 'yes' : 'no', figure(point, 'share lost', shareText), figure(point, 'dropouts per hour', rateWords),
        ]),
        note: methodWords('metrics/cohort-robustness'),
      },
    },
  ];
}

/** What the words and denominators of the report mean. */
const WORDS_TABLE: ReportTable = {
  caption: 'Words and denominators',
  columns: [{ heading: 'Word', align: 'start' }, { heading: 'What is meant', align: 'start' }],
  rows: [
    ['Loss', 'at one sensor, no information on SpO2 for at least the minimum length above; one on purpose bears the pattern planned, a gap of the recorder is told apart'],
    ['Monitored time', 'from the first to the last information of a sensor, gaps of the recorder taken out: the denominator of every share and every rate per hour; time of several sensors adds up'],
    ['Share lost', 'time lost over time monitored, of all cases together: long cases weigh more'],
    ['Cases with one', 'cases with at least one loss over cases in which the sensor was worn; longer cases have more chances of one'],
    ['Low–high', 'what the recording interval leaves open about each loss'],
    ['Interval', 'what would vary from case to case, or from patient to patient, if others had been looked at'],
    ['Doubtful', 'samples that are weak or disputed: information in the main result, lost in the one beside it'],
    ['Blind', 'no sensor that was worn had information'],
    ['Preceded by', 'an exposure on record before the loss, in a look-back: a link in time'],
  ],
  note: methodWords('methods/dropout', 'methods/monitored-time', 'methods/sample-status', 'methods/blind-interval', 'methods/linkage'),
};

const MOVED_WORDS = { minDurationS: 'minimum length', bridgeS: 'bridging', lookBackFactor: 'look-back', doubtfulLost: 'doubtful samples' } as const;

function qualityPart({ run, files, unanalyzed }: DepartmentGiven): ReportBlock[] {
  const places = allOf(run).filter(({ place }) => place !== ALL_SENSORS && place !== WHOLE_CASE);
  const blocks: ReportBlock[] = [
    { kind: 'heading', level: 2, text: 'Quality of the data' },
    {
      kind: 'table',
      table: {
        caption: 'Recording intervals of SpO2',
        columns: [{ heading: 'Sensor', align: 'start' }, { heading: 'Interval, with its cases', align: 'start' }],
        rows: places.map(({ place, intervals }) => [cohortPlaceWords(place), intervals.map(({ intervalMs, cases }) => `${intervalMs === null ? 'irregular' : durationText(intervalMs)} (${countWords(cases, 'case', 'cases')})`).join(', ')]),
        note: noteWithMethod('A loss shorter than the interval may leave no trace. Medians of a minute drop short losses, values held by a device fill them: neither can be undone.', 'methods/interval', 'methods/value-making'),
      },
    },
  ];
  if (unanalyzed.length > 0) blocks.push({ kind: 'paragraph', tone: 'plain', text: `Not analysed: ${unanalyzed.map(({ caseId, message }) => `${caseId} (${message})`).join('; ')}.` });
  if (files === null) return blocks;
  const sum = (pick: (file: FileReport) => number): number => files.reduce((total, file) => total + pick(file), 0);
  const reasons = new Map<string, number>();
  for (const { rejected } of files) for (const { reason, count } of rejected) reasons.set(reason, (reasons.get(reason) ?? 0) + count);
  const sorted = [...reasons].sort(([a, m], [b, n]) => n - m || inOrder(a, b));
  const assumed = files.flatMap(({ guesses }) => guesses.filter(({ certainty }) => certainty === 'assumed'));
  const making = [...new Set(files.flatMap(({ value_making }) => (value_making === undefined ? [] : [value_making])))].sort(inOrder);
  const failed = files.filter(({ failure }) => failure !== null);
  blocks.push({
    kind: 'list', isNumbered: false,
    items: [
      `${countText(files.length, 'file or part of a file', 'files or parts of files')}, ${numberText(sum(({ rows_read }) => rows_read))} rows read, ${numberText(sum(({ rows_rejected }) => rows_rejected))} rejected with a reason${failed.length === 0 ? '' : `; ${countText(failed.length, 'file', 'files')} could not be read`}.`,
      `How the stored values were made: ${making.length === 0 || making.every((one) => one === 'not stated') ? 'not stated in any file' : making.join(', ')}.`,
      `Readings that were assumed for want of evidence: ${numberText(assumed.length)}${assumed.length === 0 ? '' : ` (${[...new Set(assumed.map(({ field }) => field))].sort(inOrder).join(', ')})`}; see import-report.json.`,
      `Entries of drugs and events with words that are not known: ${numberText(sum((file) => (file.unknown_phrases ?? []).reduce((total, { count }) => total + count, 0) + (file.unknown_phrases_not_listed ?? 0)))}.`,
    ],
  });
  if (sorted.length > 0) {
    blocks.push({
      kind: 'table',
      table: {
        caption: 'Why rows were rejected', columns: [{ heading: 'Reason', align: 'start' }, { heading: 'Rows', align: 'end' }],
        rows: sorted.slice(0, MOST_REASONS).map(([reason, count]) => [reason, numberText(count)]),
        note: noteWithMethod(sorted.length > MOST_REASONS ? `${sorted.length - MOST_REASONS} further reasons; every row stands in rejected-rows.csv.` : 'Every row stands in rejected-rows.csv.', 'formats/delimited-text'),
      },
    });
  }
  return blocks;
}

function provenancePart({ run, files, inputDigests }: DepartmentGiven): ReportBlock[] {
  const { productVersion, parameters, options } = run.results;
  const inputs = new Map<string, { readonly sha256: string; rows: number }>();
  for (const report of files ?? []) {
    const { file, sha256 } = report.container ?? report;
    const before = inputs.get(file);
    inputs.set(file, { sha256, rows: (before?.rows ?? 0) + report.rows_read });
  }
  const listed = [...inputs].sort(([a], [b]) => inOrder(a, b));
  return [
    { kind: 'heading', level: 2, text: 'What this was made from' },
    { kind: 'facts', rows: [['Program', `Lacuna ${productVersion}`], ['Parameters', files === null ? `set “${parameters.name}” of the library` : `set “${parameters.name}”; all values stand in parameters.json`], ['Draws', `${numberText(options.draws)} with seed ${options.seed}; confidence ${options.conf}`], ['Inputs', files === null ? 'cases of a library; its ledger has every file with its digest' : `${numberText(new Set(inputDigests).size)} different files`]] },
    ...(listed.length === 0 ? [] : [{
      kind: 'table',
      table: {
        caption: 'Input files', columns: [{ heading: 'File', align: 'start' }, { heading: 'Rows', align: 'end' }, { heading: `SHA-256, first ${SHORT_DIGEST} digits`, align: 'start' }],
        rows: listed.slice(0, MOST_FILES).map(([file, { sha256, rows }]) => [file, numberText(rows), sha256 === '' ? 'not read' : sha256.slice(0, SHORT_DIGEST)]),
        note: listed.length > MOST_FILES ? `${listed.length - MOST_FILES} further files; all digests stand in parameters.json.` : '',
      },
    } as const]),
  ];
}
