import { rangeText, durationText } from '../../base/duration-text.ts';
import { countText, numberText, shareText } from '../../base/number-text.ts';
import { blankInstants } from '../../identity/blank-instants.ts';
import type { DropoutTotals } from '../../model/analysis.ts';
import { CAUTIONS } from '../../model/cautions.ts';
import type { CountedLosses } from '../../model/confirmed.ts';
import { definitionText } from '../../model/definition-text.ts';
import type { ReportBlock, ReportDocument, ReportTable, ReportWishes } from '../../model/report-document.ts';
import type { AnalyzedCase, CaseContext } from '../case-context.ts';
import { contextOf } from '../case-context.ts';
import { methodWords, noteWithMethod } from './method-words.ts';
import { reviewedContext, type ReviewedContext } from '../review-columns.ts';
import { caseFigure } from './case-figure.ts';
import { recordedWords } from '../../model/recorded-words.ts';
import type { PrintClock } from './case-words.ts';
import { beforeAfterWords, endWords, linkWords, notExcludedWords, placeWords, printClock, reviewCountWords, verdictWords } from './case-words.ts';

/** Digests are printed with so many of their 64 digits: enough to recognise a file, short enough for a line. */
export const SHORT_DIGEST = 12;
const MOST_LINKS = 2;
const MOST_FINDINGS = 3;

/** How a sheet is made to fit: rows of losses, and the height of the lanes of the timeline against the full one. */
export interface SheetRoom {
  readonly rows: number;
  readonly laneHeight: number;
}

/** Tried in turn until a sheet is one page. */
export const SHEET_ROOMS: readonly SheetRoom[] = [{ rows: 24, laneHeight: 1 }, { rows: 14, laneHeight: 1 }, { rows: 10, laneHeight: 0.8 }, { rows: 7, laneHeight: 0.65 }, { rows: 4, laneHeight: 0.5 }, { rows: 2, laneHeight: 0.4 }];
const FIRST_ROOM: SheetRoom = { rows: 24, laneHeight: 1 };

/**
 * Returns the sheet of one case: what was lost, when, what preceded it, and what has to be known of these figures.
 * Shape   as many of the longest losses as `room` says, in order of time; how many there are beside them is said. The same case gives the same document.
 * Source  handbook 9.2 (one-page case summary), 11.2, 12 (cautions).
 */
export function caseSheet(analyzed: AnalyzedCase, wishes: ReportWishes, room: SheetRoom = FIRST_ROOM): ReportDocument {
  const context = contextOf(analyzed);
  const { record, analysis } = context;
  const said = reviewedContext(context);
  const clock = printClock(record.origin, wishes.relativeTime);
  const shown = (text: string): string => (wishes.relativeTime ? blankInstants(text) : text);
  const day = clock.date === null ? '' : `, ${clock.date}`;
  const blocks: ReportBlock[] = [
    { kind: 'paragraph', tone: 'lead', text: summaryOf(context) },
    { kind: 'figure', figure: caseFigure(context, clock, room.laneHeight), table: null },
    { kind: 'table', table: sumsTable(context, said) },
    ...lossesOf(context, said, clock, room.rows),
    { kind: 'facts', rows: factsOf(context, said, shown) },
    { kind: 'paragraph', tone: 'soft', text: `Cautions. ${CAUTIONS.map(({ number, text }) => `${number}. ${text}`).join(' ')}` },
  ];
  return {
    title: 'Case sheet',
    subtitle: `${shown(record.caseId)}${day}`,
    language: 'en',
    header: wishes.header,
    footer: `Lacuna ${analysis.productVersion} · inputs ${digestsText(analysis.inputDigests)}`,
    paper: wishes.paper,
    isDense: true,
    blocks,
  };
}

/** What readers made of the case as a whole; nobody is named, and no free text of theirs is printed. */
function readersWords({ figures, review }: ReviewedContext): string {
  const flags = [...new Set(review.flags.flatMap(({ flags: own }) => own))].sort();
  const hidden = review.hidden.length === 0 ? '' : ' What others said is hidden from this reader, and in none of these figures.';
  const without = figures.without === 0 ? '' : ` ${countText(figures.without, 'verdict stands', 'verdicts stand')} at no loss under this definition.`;
  return `${reviewCountWords(figures.all)}; ${countText(review.readers.length, 'reader', 'readers')}.${without}${flags.length === 0 ? '' : ` Flagged: ${flags.join(', ')}.`}${hidden} A verdict is what a reader made of the record, not what happened.`;
}

/** Returns digests for a line of print. */
export function digestsText(digests: readonly string[]): string {
  const unique = [...new Set(digests)];
  const told = unique.slice(0, 4).map((digest) => digest.slice(0, SHORT_DIGEST));
  return unique.length === 0 ? 'unknown' : `SHA-256 ${told.join(', ')}${unique.length > told.length ? ` and ${unique.length - told.length} more` : ''}`;
}

function summaryOf({ analysis, sites }: CaseContext): string {
  const monitored = sites.filter((site) => site.monitored !== null);
  if (monitored.length === 0) return 'No SpO2 was monitored in this record: nothing can be said about losses.';
  const each = monitored.map((site) => {
    const where = monitored.length === 1 ? `At the one sensor (${placeWords(site.siteKey)})` : `At the ${placeWords(site.siteKey)}`;
    const { count, lostMs, shareMid } = site.totals;
    if (count === 0) return `${where} no loss of ${durationText(analysis.parameters.minDurationS * 1000)} or more was found in ${durationText(site.monitoredMs)}.`;
    return `${where} information was lost ${count === 1 ? 'once' : `${numberText(count)} times`}, ${rangeText(lostMs)} in all: ${shareText(shareMid)} of the ${durationText(site.monitoredMs)} monitored.`;
  });
  const blind = monitored.length < 2 ? '' : analysis.blind.length === 0 ? ' At no time were all sensors without information.' : ` All sensors were without information ${analysis.blind.length === 1 ? 'once' : `${numberText(analysis.blind.length)} times`}, ${rangeText(analysis.blindTotals.lostMs)} in all.`;
  return `${each.join(' ')}${blind}`;
}

function sumsTable({ analysis, sites }: CaseContext, said: ReviewedContext | null): ReportTable {
  const threshold = 90;
  const cells = (totals: DropoutTotals): string[] => [numberText(totals.count), rangeText(totals.lostMs), shareText(totals.shareMid), totals.count === 0 ? '–' : durationText(totals.longestMidMs)];
  /** What readers left of it, beside what was computed. */
  const selectedRows = (name: string, totalsOf: (counted: CountedLosses) => DropoutTotals | undefined): string[][] => {
    if (said === null) return [];
    return [['confirmed', said.figures.confirmed] as const, ['not refuted', said.figures.notRefuted] as const].flatMap(([word, counted]) => {
      const totals = totalsOf(counted);
      return totals === undefined ? [] : [[`${name}, ${word}`, '', '', ...cells(totals), '']];
    });
  };
  const rows = sites.flatMap((site) => {
    const name = placeWords(site.siteKey);
    if (site.monitored === null) return [[name, `not monitored: ${site.notMonitoredReason ?? 'no good value'}`, '', '', '', '', '', '']];
    const below = site.below.find(({ thresholdPct }) => thresholdPct === threshold);
    const belowLost = site.belowDoubtfulLost.find(({ thresholdPct }) => thresholdPct === threshold);
    const under = (one: typeof below): string => (one === undefined ? '–' : `${durationText(one.observedMs)} (at most ${durationText(one.highMs)})`);
    return [
      [name, durationText(site.monitoredMs), recordedWords(site), ...cells(site.totals), under(below)],
      [`${name}, doubtful as lost`, '', '', ...cells(site.totalsDoubtfulLost), under(belowLost)],
      ...selectedRows(name, ({ sites: counted }) => counted.find(({ siteKey }) => siteKey === site.siteKey)?.totals),
    ];
  });
  const blind = sites.filter(({ monitored }) => monitored !== null).length < 2 ? [] : [['no sensor (blind)', '', '', ...cells(analysis.blindTotals), ''], ['no sensor (blind), doubtful as lost', '', '', ...cells(analysis.blindTotalsDoubtfulLost), ''], ...selectedRows('no sensor (blind)', ({ blindTotals }) => blindTotals)];
  return {
    caption: 'What was lost',
    columns: [
      { heading: 'Sensor', align: 'start' }, { heading: 'Monitored', align: 'end' }, { heading: 'Recorded', align: 'end' }, { heading: 'Losses', align: 'end' },
      { heading: 'Lost, low–high and mid', align: 'end' }, { heading: 'Share', align: 'end' }, { heading: 'Longest', align: 'end' }, { heading: `Below ${threshold} % seen`, align: 'end' },
    ],
    rows: [...rows, ...blind],
    note: said === null ? methodWords('methods/dropout', 'methods/monitored-time') : noteWithMethod('Confirmed: the least that readers stand for. Not refuted: the most that can be among what was computed. Monitored time is the denominator of all.', 'methods/dropout', 'methods/monitored-time', 'metrics/confirmed'),
  };
}

function lossesOf({ analysis, sites }: CaseContext, said: ReviewedContext | null, clock: PrintClock, rows: number): ReportBlock[] {
  const all = sites.flatMap((site) => site.dropouts.map((dropout) => ({ site, dropout })));
  if (all.length === 0) return [];
  const exposures = new Map(analysis.exposures.map((one) => [one.exposureId, one]));
  // The longest ones, then in order of time.
  const kept = new Set([...all].sort((a, b) => b.dropout.lostMs.mid - a.dropout.lostMs.mid || a.dropout.firstLostMs - b.dropout.firstLostMs).slice(0, rows));
  const told = all.filter((one) => kept.has(one)).sort((a, b) => a.dropout.firstLostMs - b.dropout.firstLostMs || (a.site.siteKey < b.site.siteKey ? -1 : 1));
  const left = all.length - told.length;
  return [{
    kind: 'table',
    table: {
      caption: left === 0 ? `Losses (${all.length})` : `The ${told.length} longest of ${all.length} losses, in order of time`,
      columns: [
        { heading: 'Loss', align: 'start' }, { heading: 'First lost', align: 'end' }, { heading: 'Length', align: 'end' }, { heading: 'SpO2', align: 'start' }, { heading: 'Not excluded inside', align: 'end' },
        { heading: 'Information again', align: 'start' }, ...(said === null ? [] : [{ heading: 'Readers say', align: 'start' } as const]), { heading: 'Looks', align: 'start' }, { heading: 'Preceded by (association, not cause)', align: 'start' },
      ],
      rows: told.map(({ site, dropout }) => [
        `${placeWords(site.siteKey)} ${dropout.number}`, clock.at(dropout.firstLostMs), rangeText(dropout.lostMs), beforeAfterWords(dropout), notExcludedWords(dropout),
        endWords(dropout, clock), ...(said === null ? [] : [verdictWords(said.dropouts.get(dropout.dropoutId))]), dropout.patterns.length === 0 ? '–' : dropout.patterns.join(', '), linkWords(dropout.links, exposures, MOST_LINKS),
      ]),
      note: noteWithMethod(left === 0 ? '' : `${countText(left, 'further loss stands', 'further losses stand')} in dropouts.csv of the same inputs.`, 'methods/dropout', 'methods/linkage'),
    },
  }];
}

function factsOf({ record, analysis, sites }: CaseContext, said: ReviewedContext | null, shown: (text: string) => string): [string, string][] {
  const attributes = Object.entries(record.attributes).filter(([, value]) => value !== '').map(([name, value]) => `${name}: ${value}`);
  const doubtful = sites.reduce((sum, site) => sum + site.doubtfulMs, 0);
  const gaps = analysis.recordGapsCanBeTold
    ? `${countText(analysis.recordGaps.length, 'record gap', 'record gaps')}${analysis.recordGaps.length === 0 ? '' : ` (${durationText(analysis.recordGaps.reduce((sum, { gapMs }) => sum + gapMs.mid, 0))})`}`
    : 'record gaps cannot be told from losses: no other channel was exported';
  const findings = [...record.findings, ...analysis.findings].filter(({ severity }) => severity !== 'note').map(({ message }) => message);
  const told = findings.slice(0, MOST_FINDINGS).join(' ');
  return [
    ...(attributes.length === 0 ? [] : [['Case list', shown(attributes.join('; '))] as [string, string]]), // a pair of texts
    ...(said === null ? [] : [['Readers', readersWords(said)] as [string, string]]), // as above
    ['Definition', definitionText(analysis.parameters)],
    ['Data quality', shown(`${gaps}; doubtful samples stand for ${durationText(doubtful)}${findings.length === 0 ? '' : `. ${told}${findings.length > MOST_FINDINGS ? ` ${findings.length - MOST_FINDINGS} more in import-report.json.` : ''}`}`)],
  ];
}
