import { durationText, rangeText } from '../../base/duration-text.ts';
import { countText, numberText, shareText } from '../../base/number-text.ts';
import type { Interval } from '../../base/interval.ts';
import type { Dropout } from '../../model/analysis.ts';
import { CAUTIONS } from '../../model/cautions.ts';
import type { Deck, DeckSlide, DeckWishes } from '../../model/deck.ts';
import { definitionText } from '../../model/definition-text.ts';
import type { KnownTerms } from '../../model/known-terms.ts';
import type { AnalysisParameters } from '../../model/parameters.ts';
import { presentedCase } from '../../model/presented-case.ts';
import { recordedWords } from '../../model/recorded-words.ts';
import type { ReportBlock, ReportFigure, ReportTable } from '../../model/report-document.ts';
import { caseLabels, casesOfStory, inStoryOrder, placeView, STORY_PART_WORDS, type Story, type StoryMoment, type StoryView } from '../../model/story.ts';
import { contextOf, type AnalyzedCase, type CaseContext } from '../case-context.ts';
import { placeOfMark, type CaseMark } from '../../model/case-mark.ts';
import { presentedLanes } from '../../model/presented-lanes.ts';
import { stretchFigures, touches } from '../document/case-figure.ts';
import { digestsText } from '../document/case-sheet.ts';
import { beforeAfterWords, endWords, linkWords, notExcludedWords, placeWords, printClock, type PrintClock } from '../document/case-words.ts';
import type { PinnedNote } from '../document/happening-lanes.ts';
import { lossEvidence } from '../document/loss-evidence.ts';
import { sequenceTable } from '../document/sequence-table.ts';
import { dividedSlide, PICTURE_WIDTH, pictureRoom } from './slide-layout.ts';

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
  /** Marks and notes by case, as a person typed them; looked at only where they were wished for. */
  readonly marks: ReadonlyMap<string, readonly CaseMark[]>;
  /** The case of a moment as it had been recorded by the moment's instant, analysed by itself, by the id of the moment; empty unless what came later is kept back. */
  readonly then: ReadonlyMap<string, AnalyzedCase>;
}

/** pt of the picture: where words leave less, the pictures have slides of their own. */
const LEAST_ROOM = 130;
const MOST_LINKS = 2;
/** Under what the tables behind the pictures stand, in the place of a part of the presentation. */
const BEHIND = 'Behind the pictures';
/** Whoever wrote the text of a moment knew the end: it comes with the whole picture. */
const UNTIL_THEN: ReportBlock = { kind: 'paragraph', tone: 'soft', text: 'What came after is not in this picture.' };
/** A stretch without length shows so much around it. */
const LEAST_STRETCH_MS = 60_000;

/** A case of the story as it may be shown. */
interface ShownCase {
  readonly label: string;
  readonly context: CaseContext;
  readonly clock: PrintClock;
  /** Before anything was taken out of it: views are placed in it. */
  readonly own: AnalyzedCase;
  readonly notes: readonly PinnedNote[];
}

/**
 * Returns the slides of a story: its title and question, its moments in the order of the presentation, each view as a picture with the
 * lanes that it was taken with; then, so that whoever presents does not have to turn over them, the tables behind the pictures, losses and
 * sequence; the definition and where the figures come from, and the cautions. An assessment that points at a loss shows what the record holds for and against each pattern, and what it cannot tell.
 * Shape   the same story and cases give the same slides. No name, date, clock time or free text of a record is on them: cases are
 *         called A, B, …, times count from the first row of the case, and only words of the dictionary are used. What a person wrote
 *         into the story, and its notes in the cases where they are wished for, stands as it was written; it is asked about before it leaves (docs/methods/release.md).
 *         A moment whose case or loss is gone says so.
 *         Where what came later is kept back, a picture comes first as recorded until the instant of its moment, without the moment's text, and the
 *         figures of the cases stand behind the pictures: whoever turns the slides learns the end where the meeting does.
 * Source  the order: handbook 9.2 (Mitchell et al.); cautions: handbook 12.
 */
export function storyDeck({ story, cases, parameters, terms, header, productVersion, wishes, marks, then }: StoryDeckParts): Deck {
  const labels = caseLabels(story);
  const shown = new Map<string, ShownCase>();
  for (const [caseKey, own] of cases) {
    if (own === null) continue;
    const label = labels.get(caseKey) ?? '';
    const { record, analysis } = presentedCase(own.record, own.analysis, label, terms);
    shown.set(caseKey, { label, context: contextOf({ record, analysis }), clock: printClock(record.origin, true), own, notes: wishes.withMarks ? pinnedNotes(marks.get(caseKey) ?? [], own) : [] });
  }
  const whyNot = (caseKey: string): string => (cases.get(caseKey) === null ? 'could not be read' : 'is no longer in this library');
  const thenOf = ({ momentId, view }: StoryMoment): ThenShown | null => {
    const own = then.get(momentId);
    if (own === undefined || view === null) return null;
    const { record, analysis } = presentedCase(own.record, own.analysis, labels.get(view.caseKey) ?? '', terms);
    return { context: contextOf({ record, analysis }), record: own.record };
  };
  const moments = inStoryOrder(story.moments).map((moment) => momentSlides(moment, shown, labels, whyNot, wishes, thenOf(moment)));
  const table = caseFacts(story, shown, labels, whyNot);
  const isTold = !wishes.keepsLaterBack || table.kind !== 'table';
  const slides: DeckSlide[] = [
    titleSlide(story, isTold ? table : { kind: 'paragraph', tone: 'plain', text: `${countText(labels.size, 'case', 'cases')}: ${[...labels.values()].join(', ')}. Times count from the first row of each.` }),
    ...moments.flatMap(({ told }) => told),
    ...(isTold ? [] : [{ slideId: 'cases', part: BEHIND, title: 'The cases', blocks: [table], notes: '' }]),
    ...moments.flatMap(({ behind }) => behind),
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

/** What was recorded by the instant of a moment, as it may be shown. */
interface ThenShown {
  readonly context: CaseContext;
  /** Before anything was taken out of it. */
  readonly record: AnalyzedCase['record'];
}

function titleSlide(story: Story, cases: ReportBlock): DeckSlide {
  const question = story.question.trim();
  return { slideId: 'title', part: '', title: story.title, blocks: [...(question === '' ? [] : [{ kind: 'paragraph', tone: 'lead', text: question } as const]), cases], notes: '' };
}

/** Returns the table of the cases of a story with their losses. */
function caseFacts(story: Story, shown: ReadonlyMap<string, ShownCase>, labels: ReadonlyMap<string, string>, whyNot: WhyNot): ReportBlock {
  const cases = casesOfStory(story);
  const rows = cases.flatMap((caseKey): string[][] => {
    const one = shown.get(caseKey);
    const label = labels.get(caseKey) ?? '';
    if (one === undefined) return [[label, '–', whyNot(caseKey), '–', '–', '–']];
    const { analysis, sites } = one.context;
    const length = durationText(analysis.bounds.endMs - analysis.bounds.startMs);
    const monitored = sites.filter((site) => site.monitored !== null);
    if (monitored.length === 0) return [[label, length, 'no sensor monitored', '–', '–', '–']];
    return monitored.map((site) => [
      label, length, `${placeWords(site.siteKey)}, ${recordedWords(site)}`, numberText(site.totals.count), site.totals.count === 0 ? '–' : rangeText(site.totals.lostMs), shareText(site.totals.shareMid),
    ]);
  });
  return rows.length === 0
    ? { kind: 'paragraph', tone: 'plain', text: 'No case is shown.' }
    : {
        kind: 'table',
        table: {
          caption: countText(cases.length, 'case', 'cases'),
          columns: [{ heading: 'Case', align: 'start' }, { heading: 'Length', align: 'end' }, { heading: 'Sensor', align: 'start' }, { heading: 'Losses', align: 'end' }, { heading: 'Lost, low–high and mid', align: 'end' }, { heading: 'Share of time', align: 'end' }],
          rows,
          note: 'Losses of information of the pulse oximeter, a row for each sensor. Cases bear letters, and times count from the first row of each.',
        },
      };
}

/** The slides of a moment: those that tell it, and the tables that stand behind its picture. */
interface MomentSlides {
  readonly told: readonly DeckSlide[];
  readonly behind: readonly DeckSlide[];
}

function momentSlides(moment: StoryMoment, shown: ReadonlyMap<string, ShownCase>, labels: ReadonlyMap<string, string>, whyNot: WhyNot, { withNotes }: DeckWishes, then: ThenShown | null): MomentSlides {
  const words = STORY_PART_WORDS[moment.part].name;
  const part = moment.factor === null ? words : `${words}: ${moment.factor}`;
  const label = moment.view === null ? '' : (labels.get(moment.view.caseKey) ?? '');
  const title = [label, moment.title.trim()].filter((text) => text !== '').join(': ') || words;
  const notes = withNotes ? moment.notes.trim() : '';
  const own: ReportBlock[] = moment.text.trim() === '' ? [] : [{ kind: 'paragraph', tone: 'plain', text: moment.text.trim() }];
  const base = { slideId: moment.momentId, part, title };
  if (moment.view === null) return { told: [{ ...base, blocks: own, notes }], behind: [] };
  const { said, shownView } = shownViewOf(moment.view, shown.get(moment.view.caseKey), label, whyNot);
  const above = [...own, ...said];
  if (shownView === null) return { told: [{ ...base, blocks: above, notes }], behind: [] };
  const { one, stretch, pointedAt } = shownView;
  const room = pictureRoom(above);
  const isBeside = room >= LEAST_ROOM;
  const figures = stretchFigures(one.context, one.clock, {
    stretch, pointedAt, instantMs: shownView.instantMs, isBoundShown: moment.view.isBoundShown, lanes: presentedLanes(moment.view.lanes, one.own.record), notes: one.notes,
    width: PICTURE_WIDTH, height: isBeside ? room : pictureRoom([]), furtherHeight: pictureRoom([]),
  });
  const picture = (figure: ReportFigure): ReportBlock => ({ kind: 'figure', figure, table: null });
  const pictures = figures.map((figure, i): DeckSlide => ({ ...base, slideId: i === 0 ? base.slideId : `${base.slideId}-picture-${i + 1}`, title: figures.length === 1 ? title : `${title} (picture ${i + 1} of ${figures.length})`, blocks: [...(i === 0 && isBeside ? above : []), picture(figure)], notes: i === 0 ? notes : '' }));
  const thenPictures = then === null || shownView.instantMs === null ? [] : stretchFigures(then.context, one.clock, {
    stretch, pointedAt: null, instantMs: shownView.instantMs, isBoundShown: moment.view.isBoundShown, lanes: presentedLanes(moment.view.lanes, then.record), notes: [],
    width: PICTURE_WIDTH, height: pictureRoom([UNTIL_THEN]), furtherHeight: pictureRoom([UNTIL_THEN]),
  });
  const thenTitle = shownView.instantMs === null ? title : `${title}: as recorded until ${one.clock.at(shownView.instantMs)}`;
  const untilThen = thenPictures.map((figure, i): DeckSlide => ({ ...base, slideId: `${base.slideId}-then-${i + 1}`, title: thenPictures.length === 1 ? thenTitle : `${thenTitle} (picture ${i + 1} of ${thenPictures.length})`, blocks: [UNTIL_THEN, picture(figure)], notes: i === 0 ? notes : '' }));
  const further = (name: string, of: string, what: string, blocks: readonly ReportBlock[]): DeckSlide => ({ slideId: `${moment.momentId}-${name}`, part: of, title: `${title}: ${what}`, blocks, notes: '' });
  const sequence = sequenceTable(one.context, one.clock, stretch, pointedAt, one.notes);
  return {
    told: [
      ...untilThen,
      ...(isBeside ? pictures : [{ ...base, slideId: `${base.slideId}-words`, blocks: above, notes }, ...pictures.map((slide) => ({ ...slide, notes: '' }))]),
      ...(moment.part === 'assessment' && pointedAt !== null ? [further('evidence', part, 'for and against', lossEvidence(one.context, pointedAt, one.clock))] : []),
    ],
    behind: [
      further('table', BEHIND, 'the table behind the picture', [{ kind: 'table', table: lossesTable(one, stretch, pointedAt) }]),
      ...(sequence === null ? [] : [further('sequence', BEHIND, 'the sequence', [{ kind: 'table', table: sequence }])]),
    ],
  };
}

/** Returns marks and notes where they stand in a case; those of another clock than the case's stand nowhere. */
function pinnedNotes(marks: readonly CaseMark[], { record }: AnalyzedCase): PinnedNote[] {
  return marks.flatMap((mark) => {
    const place = placeOfMark(mark, record.origin);
    return place === null ? [] : [{ startMs: place.startMs, endMs: mark.endMs === null ? null : place.endMs, text: mark.text }];
  });
}

interface ShownStretch {
  readonly one: ShownCase;
  readonly stretch: Interval;
  readonly pointedAt: Dropout | null;
  readonly instantMs: number | null;
}

/** Returns what has to be said of a view, and the stretch that it shows; null where it cannot be drawn. */
function shownViewOf(view: StoryView, one: ShownCase | undefined, label: string, whyNot: WhyNot): { readonly said: readonly ReportBlock[]; readonly shownView: ShownStretch | null } {
  const say = (text: string): ReportBlock => ({ kind: 'paragraph', tone: 'soft', text });
  if (one === undefined) return { said: [say(`${label} ${whyNot(view.caseKey)}: its picture cannot be drawn.`)], shownView: null };
  const place = placeView(view, one.own.record, one.own.analysis);
  if (place.kind === 'clock lost') return { said: [say(`${label} was read again with another kind of clock: nobody can say where this view stands in it.`)], shownView: null };
  const said: ReportBlock[] = [];
  if (place.dropout === 'not computed') said.push(say('The loss that this view points at is not one under the present definition.'));
  else if (place.dropout?.state === 'moved') said.push(say('The loss that this view points at has other limits under the present definition than when the view was taken.'));
  if (place.isClockSet) said.push(say('A clock of this case was set after the view was taken: it may show another stretch.'));
  if (place.hasOtherInputs) said.push(say('This case is read from other files than when the view was taken.'));
  const pointedAt = place.dropout === null || place.dropout === 'not computed' ? null : shownDropout(one, place.dropout.dropout);
  return { said, shownView: { one, stretch: widened(place.window), pointedAt, instantMs: place.instantMs } };
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
  const given = analysis.exposures.some((one) => one.atMs <= stretch.endMs && (one.endMs ?? one.atMs) >= stretch.startMs);
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
    note: given ? 'What was given and done in this stretch stands in the sequence.' : 'Nothing that can precede a loss is on record in this stretch.',
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
