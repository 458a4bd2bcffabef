import { durationText, intervalText, rangeText } from '../../base/duration-text.ts';
import { countText, numberText, shareText } from '../../base/number-text.ts';
import type { Interval } from '../../base/interval.ts';
import type { Dropout } from '../../model/analysis.ts';
import { CAUTIONS } from '../../model/cautions.ts';
import type { Deck, DeckSlide, DeckWishes } from '../../model/deck.ts';
import { definitionText } from '../../model/definition-text.ts';
import type { KnownTerms } from '../../model/known-terms.ts';
import type { AnalysisParameters } from '../../model/parameters.ts';
import { presentedCase } from '../../model/presented-case.ts';
import type { ReportBlock, ReportFigure, ReportTable } from '../../model/report-document.ts';
import { caseLabels, casesOfStory, inStoryOrder, placeView, STORY_PART_WORDS, type Story, type StoryMoment, type StoryView } from '../../model/story.ts';
import { contextOf, type AnalyzedCase, type CaseContext } from '../case-context.ts';
import { stretchFigure, touches } from '../document/case-figure.ts';
import { digestsText } from '../document/case-sheet.ts';
import { beforeAfterWords, endWords, exposureWords, linkWords, notExcludedWords, placeWords, printClock, type PrintClock } from '../document/case-words.ts';
import { dividedSlide } from './slide-layout.ts';

/** Everything that slides of a story are made from. */
export interface StoryDeckParts {
  readonly story: Story;
  /** By key; a case that is gone is missing, one that cannot be read is null. Analysed under `parameters`. */
  readonly cases: ReadonlyMap<string, AnalyzedCase | null>;
  readonly parameters: AnalysisParameters;
  /** What the dictionary knows: of a record, only its words are shown. */
  readonly terms: KnownTerms;
  /** The confidentiality text. */
  readonly header: string;
  readonly productVersion: string;
  readonly wishes: DeckWishes;
}

/** Pictures of slides are made narrower than they are shown, so that their words can be read from the last row: pt. */
const FIGURE_WIDTH = 470;
/** Higher ones are made with lower lanes. */
const FIGURE_HEIGHT = 185;
const LANE_HEIGHTS = [1, 0.8, 0.62, 0.5, 0.4];
const MOST_LINKS = 2;
/** A stretch without length shows so much around it. */
const LEAST_STRETCH_MS = 60_000;

/** A case of the story as it may be shown. */
interface ShownCase {
  readonly label: string;
  readonly context: CaseContext;
  readonly clock: PrintClock;
  /** Before anything was taken out of it: views are placed in it. */
  readonly own: AnalyzedCase;
}

/**
 * Returns the slides of a story: its title and question, its moments in the order of the presentation, each view as a picture with the
 * table behind it, the definition and where the figures come from, and the cautions.
 * Shape   the same story and cases give the same slides. No name, date, clock time or free text of a record is on them: cases are
 *         called A, B, …, times count from the first row of the case, and only words of the dictionary are used. What a person wrote
 *         into the story stands as it was written; it is asked about before it leaves (docs/methods/release.md).
 *         A moment whose case or loss is gone says so.
 * Source  the order: handbook 9.2 (Mitchell et al.); cautions: handbook 12.
 */
export function storyDeck({ story, cases, parameters, terms, header, productVersion, wishes }: StoryDeckParts): Deck {
  const labels = caseLabels(story);
  const shown = new Map<string, ShownCase>();
  for (const [caseKey, own] of cases) {
    if (own === null) continue;
    const label = labels.get(caseKey) ?? '';
    const { record, analysis } = presentedCase(own.record, own.analysis, label, terms);
    shown.set(caseKey, { label, context: contextOf({ record, analysis }), clock: printClock(record.origin, true), own });
  }
  const whyNot = (caseKey: string): string => (cases.get(caseKey) === null ? 'could not be read' : 'is no longer in this library');
  const slides: DeckSlide[] = [
    titleSlide(story, shown, labels, whyNot),
    ...inStoryOrder(story.moments).flatMap((moment) => momentSlides(moment, shown, labels, whyNot, wishes)),
    definitionSlide(story, parameters, shown, productVersion),
    { slideId: 'cautions', part: '', title: 'What has to be kept in mind', blocks: [{ kind: 'facts', rows: CAUTIONS.map(({ title, text }) => [title, text] as const) }], notes: '' },
  ];
  return {
    title: story.title, language: 'en', header,
    footer: `Lacuna ${productVersion} · definition “${parameters.name}” · made for looking back; association is not cause`,
    slides: slides.flatMap(dividedSlide),
  };
}

/** Why a case is not shown, as the end of a sentence about it. */
type WhyNot = (caseKey: string) => string;

function titleSlide(story: Story, shown: ReadonlyMap<string, ShownCase>, labels: ReadonlyMap<string, string>, whyNot: WhyNot): DeckSlide {
  const rows = casesOfStory(story).map((caseKey): string[] => {
    const one = shown.get(caseKey);
    const label = labels.get(caseKey) ?? '';
    if (one === undefined) return [label, whyNot(caseKey), '–', '–', '–', '–'];
    const { analysis, sites } = one.context;
    const monitored = sites.filter((site) => site.monitored !== null);
    const per = (text: (site: (typeof monitored)[number]) => string): string => (monitored.length === 0 ? '–' : monitored.map(text).join('; '));
    return [
      label, durationText(analysis.bounds.endMs - analysis.bounds.startMs), per((site) => `${placeWords(site.siteKey)}, ${intervalText(site.intervalMs)}`),
      per(({ totals }) => numberText(totals.count)), per(({ totals }) => (totals.count === 0 ? '–' : rangeText(totals.lostMs))), per(({ totals }) => shareText(totals.shareMid)),
    ];
  });
  const blocks: ReportBlock[] = [];
  if (story.question.trim() !== '') blocks.push({ kind: 'paragraph', tone: 'lead', text: story.question.trim() });
  blocks.push(rows.length === 0
    ? { kind: 'paragraph', tone: 'plain', text: 'No case is shown.' }
    : {
        kind: 'table',
        table: {
          caption: countText(rows.length, 'case', 'cases'),
          columns: [{ heading: 'Case', align: 'start' }, { heading: 'Length', align: 'end' }, { heading: 'Sensors', align: 'start' }, { heading: 'Losses', align: 'end' }, { heading: 'Lost, low–high and mid', align: 'end' }, { heading: 'Share of time', align: 'end' }],
          rows,
          note: 'Losses of information of the pulse oximeter, in the order of the sensors. Cases bear letters, and times count from the first row of each.',
        },
      });
  return { slideId: 'title', part: '', title: story.title, blocks, notes: '' };
}

function momentSlides(moment: StoryMoment, shown: ReadonlyMap<string, ShownCase>, labels: ReadonlyMap<string, string>, whyNot: WhyNot, { withNotes }: DeckWishes): DeckSlide[] {
  const words = STORY_PART_WORDS[moment.part].name;
  const part = moment.factor === null ? words : `${words}: ${moment.factor}`;
  const label = moment.view === null ? '' : (labels.get(moment.view.caseKey) ?? '');
  const title = [label, moment.title.trim()].filter((text) => text !== '').join(': ') || words;
  const notes = withNotes ? moment.notes.trim() : '';
  const own: ReportBlock[] = moment.text.trim() === '' ? [] : [{ kind: 'paragraph', tone: 'plain', text: moment.text.trim() }];
  const base = { slideId: moment.momentId, part, title };
  if (moment.view === null) return [{ ...base, blocks: own, notes }];
  const view = viewBlocks(moment.view, shown.get(moment.view.caseKey), label, whyNot);
  const table = view.find((block) => block.kind === 'table');
  const rest = view.filter((block) => block.kind !== 'table');
  return [
    { ...base, blocks: [...own, ...rest], notes },
    ...(table === undefined ? [] : [{ slideId: `${moment.momentId}-table`, part, title: `${title}: the table behind the picture`, blocks: [table], notes: '' }]),
  ];
}

/** Returns what a view shows: what has to be said of it, the picture, and the table behind it. */
function viewBlocks(view: StoryView, one: ShownCase | undefined, label: string, whyNot: WhyNot): ReportBlock[] {
  const say = (text: string): ReportBlock => ({ kind: 'paragraph', tone: 'soft', text });
  if (one === undefined) return [say(`${label} ${whyNot(view.caseKey)}: its picture cannot be drawn.`)];
  const place = placeView(view, one.own.record, one.own.analysis);
  if (place.kind === 'clock lost') return [say(`${label} was read again with another kind of clock: nobody can say where this view stands in it.`)];
  const said: ReportBlock[] = [];
  if (place.dropout === 'not computed') said.push(say('The loss that this view points at is not one under the present definition.'));
  else if (place.dropout?.state === 'moved') said.push(say('The loss that this view points at has other limits under the present definition than when the view was taken.'));
  if (place.isClockSet) said.push(say('A clock of this case was set after the view was taken: it may show another stretch.'));
  if (place.hasOtherInputs) said.push(say('This case is read from other files than when the view was taken.'));
  const stretch = widened(place.window);
  const pointedAt = place.dropout === null || place.dropout === 'not computed' ? null : shownDropout(one, place.dropout.dropout);
  const without = new Set((['perfusion', 'pressure'] as const).filter((name) => view.lanes.lanes.some(({ laneName, isShown }) => laneName === name && !isShown)));
  return [...said, { kind: 'figure', figure: figureOf(one, stretch, pointedAt, view.isBoundShown, without), table: null }, { kind: 'table', table: lossesTable(one, stretch, pointedAt) }];
}

function figureOf({ context, clock }: ShownCase, stretch: Interval, pointedAt: Dropout | null, isBoundShown: boolean, without: ReadonlySet<'perfusion' | 'pressure'>): ReportFigure {
  const make = (laneHeight: number, width = FIGURE_WIDTH): ReportFigure => stretchFigure(context, clock, { stretch, pointedAt, isBoundShown, without, width, laneHeight });
  let figure = make(LANE_HEIGHTS[0] ?? 1);
  for (const laneHeight of LANE_HEIGHTS.slice(1)) {
    if (figure.scene.height <= FIGURE_HEIGHT) break;
    figure = make(laneHeight);
  }
  // Many sensors make it higher all the same: then it is as much wider, and fills the slide.
  const higher = figure.scene.height / FIGURE_HEIGHT;
  return higher <= 1 ? figure : make(LANE_HEIGHTS.at(-1) ?? 1, Math.round(FIGURE_WIDTH * higher));
}

/** A dropout of the case in the copy of it that is shown: same number, same sensor, other name. */
function shownDropout({ own, context }: ShownCase, dropout: Dropout): Dropout | null {
  const place = own.analysis.sites.findIndex(({ siteKey }) => siteKey === dropout.siteKey);
  return context.analysis.sites[place]?.dropouts.find(({ number }) => number === dropout.number) ?? null;
}

function widened({ startMs, endMs }: Interval): Interval {
  const missing = LEAST_STRETCH_MS - (endMs - startMs);
  return missing <= 0 ? { startMs, endMs } : { startMs: startMs - missing / 2, endMs: endMs + missing / 2 };
}

function lossesTable({ context, clock }: ShownCase, stretch: Interval, pointedAt: Dropout | null): ReportTable {
  const { analysis, sites } = context;
  const exposures = new Map(analysis.exposures.map((one) => [one.exposureId, one]));
  const losses = sites.flatMap((site) => site.dropouts.filter((one) => touches(one, stretch)).map((dropout) => ({ site, dropout })));
  losses.sort((a, b) => a.dropout.firstLostMs - b.dropout.firstLostMs || (a.site.siteKey < b.site.siteKey ? -1 : 1));
  const given = analysis.exposures.filter((one) => one.atMs <= stretch.endMs && (one.endMs ?? one.atMs) >= stretch.startMs);
  return {
    caption: `Losses from ${clock.at(stretch.startMs)} to ${clock.at(stretch.endMs)}`,
    columns: [
      { heading: 'Loss', align: 'start' }, { heading: 'First lost', align: 'end' }, { heading: 'Length', align: 'end' }, { heading: 'SpO2', align: 'start' }, { heading: 'Not excluded inside', align: 'end' },
      { heading: 'Information again', align: 'start' }, { heading: 'Preceded by (association, not cause)', align: 'start' },
    ],
    rows: losses.length === 0
      ? [['none', '', '', '', '', '', '']]
      : losses.map(({ site, dropout }) => [
          `${placeWords(site.siteKey)} ${dropout.number}${dropout === pointedAt ? ' (pointed at)' : ''}`, clock.at(dropout.firstLostMs), rangeText(dropout.lostMs), beforeAfterWords(dropout), notExcludedWords(dropout),
          endWords(dropout, clock), linkWords(dropout.links, exposures, MOST_LINKS),
        ]),
    note: given.length === 0 ? 'Nothing on record was given or done in this stretch.' : `In this stretch: ${given.map((one) => `${exposureWords(one)} ${one.atMs < stretch.startMs ? `since ${clock.at(one.atMs)}` : `at ${clock.at(one.atMs)}`}`).join('; ')}.`,
  };
}

function definitionSlide(story: Story, parameters: AnalysisParameters, shown: ReadonlyMap<string, ShownCase>, productVersion: string): DeckSlide {
  const inputs = casesOfStory(story).flatMap((caseKey): [string, string][] => {
    const one = shown.get(caseKey);
    return one === undefined ? [] : [[`${one.label}, inputs`, digestsText(one.own.analysis.inputDigests)]];
  });
  return {
    slideId: 'definition', part: '', title: 'What counts as a loss, and where this comes from',
    blocks: [{ kind: 'facts', rows: [['Definition', definitionText(parameters)], ['Made by', `Lacuna ${productVersion}, from records exported after the operation`], ...inputs] }],
    notes: '',
  };
}
