import { countWords } from '../base/count-words.ts';
import { shareText } from '../base/number-text.ts';
import type { CaseListResult } from '../model/case-list.ts';
import type { CohortExport } from '../model/cohort-export.ts';
import { LONG_LOSS_S } from '../model/cohort-export.ts';
import type { CaseFacet } from '../model/cohort-options.ts';
import { UNSTATED } from '../model/cohort-options.ts';
import type { FileReport } from '../model/import-report.ts';
import type { AnalysisParameters } from '../model/parameters.ts';
import { DEFAULT_PARAMETERS } from '../model/parameters.ts';
import { inOrder } from './case-context.ts';
import { PARAMETERS_FIELDS, type ReviewsGiven, type RunSettings } from './parameters-file.ts';

/** A channel over the cases of a run: what was recorded, and how often. */
export interface ChannelSum {
  /** Its quantity, with the place of the sensor behind `@` where it has one. */
  readonly channel: string;
  readonly cases: number;
  readonly files: number;
  /** Recording intervals with their cases, s; null: irregular. Shortest first. */
  readonly intervals: readonly { readonly intervalS: number | null; readonly cases: number }[];
  /** Shares of all samples. */
  readonly withValue: number;
}

/** What was given beside the exports; null: it was not. */
interface StatedBeside {
  readonly caseList: CaseListResult | null;
  /** Whether the run was computed under a protocol. */
  readonly protocol: string | null;
  /** What a research bundle says beside it; null, or left out: it is none. */
  readonly bundle?: { readonly channels: readonly ChannelSum[]; readonly source: 'inputs' | 'library' } | null | undefined;
}

/**
 * Returns methods.md: what was done, in plain words, for the methods section of a paper or a report.
 * Shape   the same results give the same bytes. Every number in it is one of the run.
 * Source  RECORD 2015 (Benchimol, PLoS Med 12:e1001885) and STROBE; handbook 9.5 (what is to be printed) and 12 (cautions).
 */
export function methodsText(run: CohortExport, settings: RunSettings, files: readonly FileReport[], { caseList, protocol, bundle = null }: StatedBeside): string {
  const { results } = run;
  return [
    '# Methods',
    '',
    `Written by the program for the run whose tables lie ${bundle === null ? 'beside this file' : 'in the folder `tables`'}. It states what was done; why it was done, and what was asked, is for the authors to add. Names of tables are in \`code\`; every column is explained in \`${bundle === null ? 'cohort-dictionary.md' : 'data-dictionary.md'}\`.`,
    '',
    ...dataPart(run, settings, files, bundle?.source === 'library'),
    ...(bundle === null ? [] : channelsPart(bundle.channels)),
    ...definitionPart(results.parameters),
    ...(bundle === null ? [] : parametersPart(results.parameters)),
    ...(protocol === null ? [] : [`${protocol} The protocol stands in \`protocol.md\`.`, '']),
    ...(settings.reviews === undefined && settings.libraryReviews === undefined ? [] : reviewPart(results, settings.reviews ?? null)),
    ...casesPart(results, caseList, settings.relativeTime),
    ...statisticsPart(run, settings),
    ...sensitivityPart(run),
    ...softwarePart(run),
    ...CAUTIONS,
    ...recordPart(bundle !== null),
  ].join('\n');
}

function dataPart({ results }: CohortExport, settings: RunSettings, files: readonly FileReport[], isFromLibrary: boolean): string[] {
  const read = files.filter(({ failure }) => failure === null);
  const rows = read.reduce((sum, file) => ({ read: sum.read + file.rows_read, rejected: sum.rejected + file.rows_rejected }), { read: 0, rejected: 0 });
  const making = [...new Set(read.flatMap(({ value_making }) => (value_making === undefined ? [] : [value_making])))].sort(inOrder);
  const intervals = results.burden.rows.filter(({ scope, place }) => scope === 'all' && place !== 'all sensors' && place !== 'case');
  return [
    '## Data',
    '',
    isFromLibrary ? 'Cases of electronic anaesthesia-record exports that a library holds. What became of every file and row when they were imported stands in the ledger of the library; the digest (SHA-256) of every input stands in `manifest.json`. Clocks of sources that a person set are as they are in the library (`cases.csv`, `clock_offsets`). Nothing was interpolated or smoothed.' : `Electronic anaesthesia-record exports: ${countWords(read.length, 'file or part of a file was', 'files or parts of files were')} read (${files.length - read.length} could not be), with ${rows.read} rows of which ${rows.rejected} were rejected with a reason (\`rejected-rows.csv\`, \`import-report.json\`). The digest (SHA-256) of every input stands in \`parameters.json\`. Nothing was interpolated or smoothed.`,
    '',
    `Time zone of the records: ${isFromLibrary && !settings.relativeTime ? 'of each case in `cases.csv`' : settings.relativeTime ? 'left out, with every date and clock time' : (settings.zone ?? 'not stated, UTC was taken where a record does not say')}. How the stored values were made (snapshot, mean, median …): ${making.length === 0 || making.every((one) => one === 'not stated') ? 'not stated in any file' : making.join(', ')}. What device and record keeper did before (averaging, hold, filter, edits) cannot be undone.`,
    '',
    ...(intervals.length === 0
      ? ['No sensor was monitored.', '']
      : ['Recording intervals of SpO2, with the cases that have them:', '', ...intervals.map((row) => `- ${row.place}: ${row.intervals.map(({ intervalMs, cases }) => `${intervalMs === null ? 'irregular' : `${intervalMs / 1000} s`} (${countWords(cases, 'case', 'cases')})`).join(', ')}`), '']),
    ...(results.burden.warnings.length === 0 ? [] : [...results.burden.warnings.map((warning) => `- ${warning}`), '']),
    `Identifiers of persons were ${settings.keepIdentifiers ? 'kept, as stated by the user' : 'left out or replaced by codes where recognised'}.`,
    '',
  ];
}

function channelsPart(channels: readonly ChannelSum[]): string[] {
  const lines = channels.map(({ channel, cases, files, intervals, withValue }) => `- \`${channel}\`: ${countWords(cases, 'case', 'cases')}, from ${countWords(files, 'file', 'files')}; interval ${intervals.map((one) => `${one.intervalS === null ? 'irregular' : `${one.intervalS} s`} (${countWords(one.cases, 'case', 'cases')})`).join(', ')}; ${shareText(withValue)} of its samples hold a number.`);
  return ['Channels, with source and interval (`channels.csv` has every case; words and codes by which they were recognised: `codes.csv`):', '', ...(lines.length === 0 ? ['- none'] : lines), ''];
}

function parametersPart(p: AnalysisParameters): string[] {
  const described = PARAMETERS_FIELDS.flatMap(({ name, meaning, unit }) => (name.startsWith('parameters.') ? [{ name: name.slice('parameters.'.length), meaning, unit }] : []));
  const values: Readonly<Record<string, unknown>> = { ...p };
  return ['All parameters:', '', '| parameter | value | unit | meaning |', '| --- | --- | --- | --- |', ...described.map(({ name, meaning, unit }) => `| \`${name}\` | ${JSON.stringify(values[name] ?? null).replaceAll('|', '\\|')} | ${unit} | ${meaning} |`), ''];
}

function definitionPart(p: AnalysisParameters): string[] {
  const drugs = Object.entries(p.lookBackBolusS).sort(([a], [b]) => inOrder(a, b)).map(([drug, s]) => `${drug} ${s / 60} min`);
  const positions = Object.entries(p.lookBackPositionS).map(([position, s], _, all) => `${position === 'other' && all.length === 1 ? 'any' : position} ${s / 60} min`).sort(inOrder);
  const changed = changedParameters(p);
  return [
    '## Definitions',
    '',
    `Set of parameters: “${p.name}”; all values stand in \`parameters.json\`. ${changed.length === 0 ? 'They are the defaults of the program.' : `Other than the defaults of the program: ${changed.join('; ')}.`}`,
    '',
    `- **SpO2 sample.** Lost when absent, a filler of the export, outside ${p.spo2Plausible[0]} to ${p.spo2Plausible[1]} %, flagged by the export, or held unchanged for more than ${p.heldS} s while the ECG heart rate changed. Doubtful when the perfusion index lay below ${p.weakPerfusionIndex} or pulse rate and ECG heart rate differed by more than ${p.disputedPerMin} /min and ${p.disputedPct} % for at least ${p.disputedS} s. Doubtful samples count as information in the primary result, and as lost in a second result that stands beside it.`,
    `- **Monitored time** of a sensor: from its first to its last sample with information within the bounds of the case; where it was not restored although other channels went on for more than ${p.afterLastGoodS / 60} min, up to where that is censored. ${p.keepRecordGaps ? 'Record gaps (every channel missing) stay in numerator and denominator.' : 'Record gaps (every channel missing) are taken out of numerator and denominator.'}`,
    `- **Dropout**: a maximal run of lost samples; runs parted by information of less than ${p.bridgeS} s or by a single sample are one, the information between taken off. Kept from a mid estimate of ${p.minDurationS} s on. The recording interval hides its true limits: low = last lost − first lost, high = first good − last good, mid = their mean; totals are given in the same way.${p.deviceHoldS > 0 ? ` A device hold of ${p.deviceHoldS} s widens the high estimate.` : ''}`,
    '- **Blind interval**: no sensor of the case gave information.',
    `- **Exposures and links**: vasopressor boluses with look-back by drug (${drugs.join(', ')}), start or rise of an infusion (${p.lookBackInfusionS / 60} min), changes of position (${positions.join(', ')}). These are proposals, not established durations of effect.`,
    '',
  ];
}

function reviewPart({ selection, beside, options, review, flow }: CohortExport['results'], given: readonly ReviewsGiven[] | null): string[] {
  const excluded = flow.steps.flatMap(({ leftOut }) => leftOut).filter(({ reason }) => reason.startsWith('flagged by a reader')).reduce((total, { cases }) => total + cases.length, 0);
  const { dropouts, confirmed, refuted, cannotTell, disputed, notReviewed, corrected, tooShort, without, casesWithDropout, casesRead } = review;
  const chosen =
    options.dropouts !== 'computed' && notReviewed === dropouts
      ? 'No dropout of the analysed cases was reviewed: nothing is confirmed, and every figure is of computed dropouts.'
      : selection === 'confirmed'
        ? 'Every figure is of confirmed dropouts, with corrected bounds where readers corrected them; `cohort-burden.csv` and `cohort-cases.csv` have the computed ones, and those that are not refuted, beside them (`dropouts_of`).'
        : beside.length > 0
          ? 'Figures are of computed dropouts; `cohort-burden.csv` and `cohort-cases.csv` have the confirmed ones, and those that are not refuted, beside them (`dropouts_of`).'
          : 'Every figure is of computed dropouts.';
  return [
    '## Review of dropouts',
    '',
    `${given === null ? 'Reviews are those of the library that the cases come from (`parameters.json`).' : `Reviews were read from ${countWords(given.length, 'signed file', 'signed files')} (\`parameters.json\`) and laid beside the cases by what their SpO2 sensors recorded.`} Every entry stands in \`reviews.csv\`. Of ${countWords(dropouts, 'computed dropout', 'computed dropouts')} in the analysed cases ${confirmed} ${confirmed === 1 ? 'is' : 'are'} confirmed (${corrected} with corrected bounds, ${tooShort} of these too short to count), ${refuted} refuted, ${cannotTell} cannot be told, ${disputed} disputed between readers, ${notReviewed} not reviewed; ${countWords(without, 'verdict stands', 'verdicts stand')} at no dropout of this run. In ${casesRead} of ${countWords(casesWithDropout, 'case with a dropout', 'cases with a dropout')} every dropout has an outcome. ${countWords(excluded, 'case was', 'cases were')} left out because a reader flagged ${excluded === 1 ? 'it' : 'them'}.`,
    '',
    `${chosen} Confirmed is the least that readers stand for, not refuted the most that can be among what was computed; monitored time stays the denominator of both. While dropouts are not reviewed confirmed figures are too low by an unknown part. How much one sensor covered of another’s losses, and courses around boluses, are always of what was computed.`,
    '',
  ];
}

function changedParameters(p: AnalysisParameters): string[] {
  const defaults: Readonly<Record<string, unknown>> = { ...DEFAULT_PARAMETERS };
  return Object.entries(p).filter(([name, value]) => name !== 'name' && JSON.stringify(value) !== JSON.stringify(defaults[name])).map(([name, value]) => `${name} = ${JSON.stringify(value)}`);
}

function casesPart({ flow, options, burden }: CohortExport['results'], caseList: CaseListResult | null, relativeTime: boolean): string[] {
  const months = relativeTime ? [] : burden.rows.flatMap(({ scope, value }) => (scope === 'month' && value !== null && value !== '' ? [value] : [])).sort(inOrder);
  const [first, last] = [months[0], months[months.length - 1]];
  const steps = flow.steps.map(({ step, cases, leftOut }) => `- ${step}: ${countWords(cases, 'case', 'cases')}${leftOut.length === 0 ? '' : ` (left out before: ${leftOut.map((one) => `${one.cases.length} ${one.reason}`).join('; ')})`}`);
  const { choice, groupBy, patientColumn, change } = options;
  const chosen = [
    ...(choice.from === null && choice.to === null ? [] : [`days from ${choice.from ?? 'the first'} to ${choice.to ?? 'the last'}, undated cases ${choice.keepUndated ? 'kept' : 'left out'}`]),
    ...choice.facets.map(({ facet, values }) => `${facetWords(facet)}: ${values.map((value) => (value === UNSTATED ? 'not stated' : value)).join(', ')}`),
  ];
  return [
    '## Cases',
    '',
    'Flow of cases (`cohort-flow.csv`; RECORD 6.1, 13.1):',
    '',
    ...steps,
    '',
    `${chosen.length === 0 ? 'All usable cases were taken.' : `Cases were chosen by ${chosen.join('; ')}.`} ${groupBy === null ? 'They were not compared in groups.' : `They were compared by ${facetWords(groupBy)}; what is not stated is a group of its own.`}`,
    '',
    `The unit of every interval and test is the ${flow.unit === 'case' ? 'case (one anaesthetic)' : `patient, named by the column “${patientColumn ?? ''}” (where it is empty, the case)`}: ${countWords(flow.units, 'unit', 'units')}. Dropouts, seconds and windows inside one unit are never treated as independent. ${relativeTime ? 'Dates were left out of everything that was written.' : first === undefined || last === undefined ? 'No analysed case with a monitored sensor has a date.' : `The dated cases are from ${first === last ? first : `${first} to ${last}`}; ${countWords(flow.undated, 'analysed case has', 'analysed cases have')} no date.`}`,
    ...(caseList === null ? [] : ['', `A list of cases from elsewhere was held against those that were read (\`case-list.csv\`): ${listWords(caseList)}.`]),
    ...(change === null ? [] : ['', `A change was marked on ${change.date}: ${change.text}.`]),
    '',
  ];
}

function listWords({ rows, counts }: CaseListResult): string {
  const states = Object.entries(counts).filter(([, count]) => count > 0).map(([state, count]) => `${count} ${state}`);
  return `${countWords(rows.length, 'row', 'rows')}; ${states.join(', ')}`;
}

function facetWords(facet: CaseFacet): string {
  return facet.kind === 'column' ? `the column “${facet.column}”` : facet.kind;
}

function statisticsPart({ results, charts, funnel }: CohortExport, settings: RunSettings): string[] {
  const { flow, options, restoration, beforeLoss, aligned, sites } = results;
  const withCharts = !settings.relativeTime;
  const funnelWords = funnel === null ? '' : ' Funnel of units with exact binomial limits (`cohort-funnel.csv`), widened where units differ more than chance (Spiegelhalter 2005); units below 10 cases bear no name; nothing is ranked.';
  const pct = `${Number((options.conf * 100).toPrecision(4))} %`;
  const { windows } = beforeLoss;
  return [
    '## Statistical methods',
    '',
    `Estimates come with ${pct} intervals; p values are two-sided, come second, and carry no mark of significance. What is not defined is left empty with its reason, never written as 0.`,
    '',
    `- **Burden** (\`cohort-burden.csv\`, \`cohort-cases.csv\`). Shares of monitored time and dropouts per monitored hour are ratios of totals; beside the share stands the median over cases. Interval: Student’s t on the scale of the logarithm with a standard error from the differences between units (Liang & Zeger 1986; ratio estimator of Cochran), because exact Poisson intervals are several times too narrow where cases differ. For one unit, or no dropout, the exact Poisson interval (Garwood 1936), named as such. From 20 units on a bootstrap over units (BCa, Efron & Tibshirani 1993) beside it. Cases with at least one dropout: ${flow.unit === 'case' ? 'Clopper & Pearson 1934' : 'where patients have several cases the same interval over units on the logit scale, else Clopper & Pearson 1934'}. Quantiles: type 7 (Hyndman & Fan 1996).`,
    `- **Time to restored information** (\`cohort-restoration.csv\`, \`cohort-restoration-curves.csv\`, \`cohort-restoration-sites.csv\`). Kaplan–Meier with restoration at the same sensor as the event; others censored where information came elsewhere or watching ended. Intervals on the log(−log) scale with the infinitesimal jackknife summed within units (Ying & Wei 1994; Therneau & Grambsch 2000). Mean restricted to ${restoration.limitMs / 1000} s, fixed beforehand (Royston & Parmar 2013). Sites: log-rank test with cases as strata (Mantel 1966), Holm. Curves for low, mid and high lengths; where sampling is coarse the interval-censored estimate (Turnbull 1976; \`cohort-restoration-between.csv\`).`,
    `- **Sites within the same patients** (\`cohort-sites.csv\`, \`cohort-coverage.csv\`). Only units with at least ${sites.leastSharedMs / 60_000} min in which both sensors were meant to give information, and only that time. Hodges–Lehmann difference with its distribution-free interval; signed ranks with Pratt’s zeros (1959), Holm over all pairs of an outcome; as sensitivity zeros left out, sign test, turned signs (Fisher 1935). Three or more sites: Friedman. The share of lost time that the other site covered: ratio of totals, interval on the logit scale over units.`,
    `- **What precedes loss** (\`cohort-before-loss.csv\`, \`cohort-dose.csv\`). Within cases: windows of ${windows.bolusS.join(' to ')} s after boluses and ${windows.positionS.join(' to ')} s after changes of position, merged where they overlap; ${windows.preS} s before an exposure are neither risk nor control; time already lost is no time at risk. Mantel–Haenszel rate ratio with cases as strata (Greenland & Robins 1985); conditional Poisson estimate (self-controlled case series, Farrington 1995) beside it; exact conditional limits where either side has fewer than 5 onsets; circular shift within cases (Lotwick & Silverman 1982). Dose response only from the numbers that the table states. Association is not cause: a bolus answers hypotension, and hypotension itself precedes loss.`,
    `- **Courses around boluses** (\`cohort-aligned.csv\`). ${countWords(aligned.boluses, 'bolus', 'boluses')} (${aligned.bolusesTooClose} left out because another came within the span before). Against the mean of the minute before: the perfusion index in per cent of it, SpO2 and pressure as a difference; mean over boluses within a unit, then over units; pointwise band, not simultaneous.`,
    ...(!withCharts ? [`- **Charts by month** are left out, as they would name months.${funnelWords}`] : [`- **Charts by month** (\`cohort-charts.csv\`${options.change === null ? '' : ', \`cohort-change.csv\`'}). ${countWords(charts.length, 'chart', 'charts')}; kind by the table of methods (fewer than 10 points only drawn, 10 to 19 a run chart, then p, u or their Laney forms, XmR, t); limits from the first points, up to 24, three standard deviations. A long loss lasts more than ${LONG_LOSS_S} s.${funnelWords}${options.change === null ? '' : ' Before and after the change: ratio of totals after over before, variances of the logarithms added with Welch’s degrees of freedom (1947); median lengths as a difference with a percentile interval from drawing units anew. What else changed at that time is not known.'}`]),
    `- **Random numbers**: MT19937 (Matsumoto & Nishimura 1998), seed ${options.seed}, ${options.draws} draws. Cases stand in the order of the code points of their ids before anything is drawn, so the same cases and seed give the same numbers in any order of import and on any number of workers.`,
    '',
  ];
}

function sensitivityPart({ results }: CohortExport): string[] {
  const values = (moved: 'minDurationS' | 'bridgeS' | 'lookBackFactor'): string => results.robustness.filter((point) => point.moved === moved).map(({ definition }) => definition[moved]).join(', ');
  return [
    '## Sensitivity analyses',
    '',
    `Every main result was worked out again under other definitions of a dropout, one thing moved at a time (\`cohort-robustness.csv\`): minimum duration ${values('minDurationS')} s; bridging ${values('bridgeS')} s; every look-back and window times ${values('lookBackFactor')}; doubtful samples as lost. The definition under “Definitions” is the result; the others say how much hangs on it.`,
    '',
    'Missing data: lost samples are the outcome. A channel that is not recorded, a case without SpO2, a property that is not stated and a record without a date are counted and named, never filled in.',
    '',
  ];
}

function softwarePart({ results }: CohortExport): string[] {
  return ['## Software', '', `Lacuna ${results.productVersion}. The same inputs, parameters and seed give the same files, byte for byte. Formulas and their tests against published examples and reference software: docs/methods and docs/metrics of that version.`, ''];
}

/** Source: handbook 12. */
const CAUTIONS: readonly string[] = [
  '## To be read with',
  '',
  '- For looking back only: not for decisions about a patient, no alarm.',
  '- A missing value in an export does not prove that the bedside display was blank; a value does not prove that it was shown, right, or seen.',
  '- What came before (device averaging, hold, filter of the record keeper, edits) cannot be undone here.',
  '- Times come from several clocks and from hands: order within about two minutes may be wrong.',
  '- Bounds, not points: the recording interval limits what can be known. Counts from records with different intervals must not be compared.',
  '- A link in time is association. It does not show that a drug or a position caused a loss.',
  '- Sites are chosen by people, often because another failed: only sites worn at the same time, or assigned at random, answer which is better.',
  '- Onset patterns are evidence for a reviewer, not a verdict.',
  '- Nothing here sets a standard of care or grades a person. Small numbers and selected cases: no ranking of people or units on them.',
  '- Confidentiality and release follow local law; de-identified files still need a human check.',
  '',
];

function recordPart(isBundle: boolean): string[] {
  return [
    '## Where the items of RECORD are',
    '',
    '| item | asks for | here |',
    '| --- | --- | --- |',
    '| 1.1, 1.2, 4, 5 | type of data, place, setting, period | Data; period under Cases; name of the database, place and setting to be added by the authors |',
    '| 6.1 | how cases were found and chosen | Cases |',
    '| 6.2 | validation of how cases and codes were found | none was done by the program; to be added by the authors |',
    '| 6.3, 13.1 | flow of cases | Cases, `cohort-flow.csv` |',
    `| 7.1 | codes and definitions | Definitions, ${isBundle ? '`codes.csv`, ' : ''}\`parameters.json\` |`,
    '| 8 | sources and measurement | Data |',
    '| 9, 19.1 | bias, limits of the data | To be read with |',
    '| 12 | statistical methods, missing data, sensitivity | Statistical methods, Sensitivity analyses |',
    '| 12.1, 12.2 | access to the data, cleaning | `import-report.json`, `rejected-rows.csv`; access to be added by the authors |',
    '| 1.3, 12.3 | linkage of databases | files of one case were put together by folder or case column, entry by entry in `import-report.json`; no linkage by likeness of persons |',
    `| 22.1 | protocol, raw data, code | \`${isBundle ? 'manifest.json' : 'parameters.json'}\` with the digest of every input; the program’s version |`,
    '',
  ];
}
