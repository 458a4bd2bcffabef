/*
 * The release list of everything that the sample cases are made into: nothing of the program's own wording is asked about, and every
 * date, clock time and name of a case is. The sample cases are invented (sample-cases/README.md); what is in them is known.
 */
import { beforeAll, describe, expect, test } from 'vitest';
import { SLIDE_SIZE, type Deck, type DeckSlide } from '../../core/model/deck.ts';
import { deckSchema } from '../../core/model/deck-schema.ts';
import { markTimes, type CaseMark } from '../../core/model/case-mark.ts';
import { ONSET_PATTERNS } from '../../core/model/onset-evidence.ts';
import { recordUntil } from '../../core/model/record-until.ts';
import { placeView, type Story, type StoryMoment } from '../../core/model/story.ts';
import { DEFAULT_LANES, type LaneChoice } from '../../core/model/lane-choice.ts';
import { isAsked, type ReleaseContent } from '../../core/model/release.ts';
import { DEFAULT_HEADER } from '../../core/model/report-document.ts';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import { analyzeCase } from '../../core/pipeline/analyze-case.ts';
import { storyDeck } from '../../core/report/deck/story-deck.ts';
import { contextOf } from '../../core/report/case-context.ts';
import { deckPictures, pictureSvg } from '../../core/report/deck/picture.ts';
import { layOutSlide, SLIDE_FRAME } from '../../core/report/deck/slide-layout.ts';
import { stretchFigures } from '../../core/report/document/case-figure.ts';
import { printClock } from '../../core/report/document/case-words.ts';
import { caseSheet } from '../../core/report/document/case-sheet.ts';
import { releaseOf } from '../../core/report/release/release-list.ts';
import { listKnownTerms } from '../../core/terms/known-terms.ts';
import { buildSampleStory, sampleKey } from '../builders/sample-story.ts';
import { readSamples, readTruth, type ReadSamples } from './read-samples.ts';
import { sampleDepartmentReport } from './sample-department-report.ts';

const CASE_IDS = Object.keys(readTruth()).sort();
const WISHES = { header: DEFAULT_HEADER, paper: 'A4', relativeTime: false } as const;

let samples: ReadSamples;
beforeAll(async () => {
  samples = await readSamples();
}, 120_000);

function analyzed(caseId: string) {
  const record = samples.outcome.cases.find((one) => one.caseId === caseId);
  const analysis = samples.analyses.get(caseId);
  if (record === undefined || analysis === undefined) throw new Error(`no case ${caseId}`);
  return { record, analysis };
}

function askedOf(content: ReleaseContent): string[] {
  return releaseOf(content, []).list.tokens.filter(({ kind }) => isAsked(kind)).map(({ kind, text }) => `${kind}: ${text}`);
}

test('slides of a story of every sample case, without a word typed that could name anybody, are asked nothing', () => {
  const own = CASE_IDS.map(analyzed);
  const story = buildSampleStory(own);
  const deck = storyDeck({ story, cases: new Map(own.map((one, i) => [sampleKey(i), one])), parameters: DEFAULT_PARAMETERS, terms: listKnownTerms(), header: DEFAULT_HEADER, productVersion: '0.1.0', wishes: { withNotes: true, withMarks: false, keepsLaterBack: false }, marks: new Map(), then: new Map() });
  expect(askedOf({ kind: 'deck', deck })).toEqual([]);
});

describe('case sheets', () => {
  test.each(CASE_IDS)('of %s ask about its date, its clock times and its name, and about no word of ours', (caseId) => {
    const { record, analysis } = analyzed(caseId);
    const asked = askedOf({ kind: 'report', document: caseSheet({ record, analysis }, WISHES) });
    expect(asked.filter((one) => !/^(?:date|clock time): \d[\d:-]+$/.test(one))).toEqual([`identifier: ${/^K\d+/.exec(caseId)?.[0] ?? ''}`, ...(/^K16-/.test(caseId) ? [`identifier: ${caseId.slice(4)}`] : [])].filter((one) => asked.includes(one)));
    if (record.origin.clock === 'absolute') expect(asked.some((one) => one.startsWith('date: 2031-'))).toBe(true);
    if (record.origin.clock !== 'elapsed') expect(asked.some((one) => one.startsWith('clock time: '))).toBe(true);
  });

  test('in relative time ask about no date and no clock time', () => {
    for (const caseId of CASE_IDS) {
      const asked = askedOf({ kind: 'report', document: caseSheet(analyzed(caseId), { ...WISHES, relativeTime: true }) });
      expect(asked.filter((one) => /^(?:date|clock time|unknown word|name|place|age)/.test(one))).toEqual([]);
    }
  });
});

test('the department report asks about months, dates and names of cases, and about no word of ours', () => {
  const asked = askedOf({ kind: 'report', document: sampleDepartmentReport(samples) });
  expect(asked.filter((one) => !/^date: 2031-\d\d(?:-\d\d)?$|^identifier: (?:K\d\d|\d\d)$/.test(one))).toEqual([]);
  expect(asked).toContain('identifier: K02');
  expect(asked).toContain('date: 2031-06-01');
});

describe('slides of a story', () => {
  const make = (over: Partial<Story> = {}, gone = false, withNotes = false): Deck => {
    const own = ['K02-arms-tucked', 'K07-blind-interval'].map(analyzed);
    return storyDeck({ story: buildSampleStory(own, over), cases: new Map(own.slice(gone ? 1 : 0).map((one, i) => [sampleKey(gone ? i + 1 : i), one])), parameters: DEFAULT_PARAMETERS, terms: listKnownTerms(), header: 'Peer review', productVersion: '0.1.0', wishes: { withNotes, withMarks: false, keepsLaterBack: false }, marks: new Map(), then: new Map() });
  };
  const textOf = (deck: Deck): string => JSON.stringify(deck);

  test('are told in the order of the presentation, the table of each view behind all of them; they fit', () => {
    const deck = make();
    // Handbook 9.2: situation, background, assessment, recommendations; ours beside them.
    expect(deck.slides.map(({ part }) => part).filter((part, i, all) => part !== '' && part !== all[i - 1])).toEqual(['Since the last meeting', 'Situation', 'What was known when', 'Contributing factors: environment', 'Recommendations', 'Behind the pictures']);
    expect(deck.slides.filter(({ title }) => title.endsWith('the table behind the picture'))).toHaveLength(2);
    for (const slide of deck.slides) for (const part of layOutSlide(slide)) expect(part.y + part.height, `${slide.title}: ${part.kind}`).toBeLessThanOrEqual(SLIDE_SIZE.height - 30);
    expect(textOf(deck)).toBe(textOf(make()));
    expect(deckSchema.parse(JSON.parse(textOf(deck)))).toEqual(deck);
  });

  test('hold no name, attribute, source text or date of a record, and notes only where they were asked for', () => {
    const deck = textOf(make());
    for (const caseId of ['K02-arms-tucked', 'K07-blind-interval']) {
      const { record } = analyzed(caseId);
      expect(deck).not.toContain(caseId);
      for (const { text, term } of record.events) if (term === '' && text.length > 6) expect(deck).not.toContain(text);
    }
    expect(deck).not.toMatch(/2031-|(?<![+\d:])\d{2}:\d{2}:\d{2}/);
    expect(deck).not.toContain('Ask the room');
    expect(textOf(make({}, false, true))).toContain('Ask the room');
  });

  test('a drug or sensor that only the export knows is not named', () => {
    const { record, analysis } = analyzed('K02-arms-tucked');
    const odd = { record: { ...record, drugs: record.drugs.map((drug) => ({ ...drug, inn: null })) }, analysis: { ...analysis, exposures: analysis.exposures.map((one) => ({ ...one, label: one.kind === 'vasopressor bolus' ? 'syringe of Quillfeather' : one.label })), sites: analysis.sites.map((site) => ({ ...site, sensor: 'Quillfeather', siteKey: `${site.site} Quillfeather`, dropouts: site.dropouts.map((one) => ({ ...one, siteKey: `${site.site} Quillfeather` })) })) } };
    const deck = storyDeck({ story: buildSampleStory([odd]), cases: new Map([[sampleKey(0), odd]]), parameters: DEFAULT_PARAMETERS, terms: listKnownTerms(), header: '', productVersion: '0.1.0', wishes: { withNotes: false, withMarks: false, keepsLaterBack: false }, marks: new Map(), then: new Map() });
    expect(textOf(deck)).not.toContain('Quillfeather');
    expect(textOf(deck)).toContain('vasopressor bolus');
    expect(textOf(deck)).toContain('finger 1');
  });

  test('a case that is gone, and a loss that is none any more, are said', () => {
    expect(textOf(make({}, true))).toContain('Case A is no longer in this library');
    // One that the disk does not give was once called gone, which it is not.
    const unread = storyDeck({ story: buildSampleStory(['K02-arms-tucked', 'K07-blind-interval'].map(analyzed)), cases: new Map([[sampleKey(0), null]]), parameters: DEFAULT_PARAMETERS, terms: listKnownTerms(), header: '', productVersion: '0.1.0', wishes: { withNotes: false, withMarks: false, keepsLaterBack: false }, marks: new Map(), then: new Map() });
    expect(textOf(unread)).toContain('Case A could not be read: its picture cannot be drawn');
    expect(textOf(unread)).toContain('Case B is no longer in this library');
    const own = analyzed('K02-arms-tucked');
    const story = buildSampleStory([own]);
    const without = { record: own.record, analysis: { ...own.analysis, sites: own.analysis.sites.map((site) => ({ ...site, dropouts: [] })) } };
    expect(textOf(storyDeck({ story, cases: new Map([[sampleKey(0), without]]), parameters: DEFAULT_PARAMETERS, terms: listKnownTerms(), header: '', productVersion: '0.1.0', wishes: { withNotes: false, withMarks: false, keepsLaterBack: false }, marks: new Map(), then: new Map() }))).toContain('is not one under the present definition');
  });

  test('nothing stands below the foot of a slide: neither a view with two hundred doses nor words without a space', () => {
    const { record, analysis } = analyzed('K02-arms-tucked');
    const [one] = analysis.exposures.filter(({ kind }) => kind === 'vasopressor bolus');
    if (one === undefined) throw new Error('no bolus');
    const { startMs, endMs } = analysis.bounds;
    const many = Array.from({ length: 200 }, (_, i) => ({ ...one, exposureId: `many ${i}`, atMs: startMs + (i * (endMs - startMs)) / 200 }));
    const own = { record, analysis: { ...analysis, exposures: [...analysis.exposures, ...many] } };
    const story = buildSampleStory([own]);
    const moments = story.moments.map((moment) => (moment.view === null ? { ...moment, text: 'x'.repeat(4000) } : { ...moment, view: { ...moment.view, startMs: moment.view.startMs - 6 * 3_600_000, endMs: moment.view.endMs + 6 * 3_600_000 } }));
    const deck = storyDeck({ story: { ...story, moments }, cases: new Map([[sampleKey(0), own]]), parameters: DEFAULT_PARAMETERS, terms: listKnownTerms(), header: 'Peer review', productVersion: '0.1.0', wishes: { withNotes: false, withMarks: false, keepsLaterBack: false }, marks: new Map(), then: new Map() });
    for (const slide of deck.slides) for (const { kind, y, height } of layOutSlide(slide)) expect({ title: slide.title, kind, isAbove: y + height <= SLIDE_FRAME.footer.y }).toEqual({ title: slide.title, kind, isAbove: true });
    // And nothing is lost by it.
    const words = textOf(deck);
    expect(words.match(/x/g)?.length ?? 0).toBeGreaterThanOrEqual(4000 * moments.filter(({ view }) => view === null).length);
    expect(words.split(`${one.label} `).length - 1).toBeGreaterThan(200);
  });

  test('a text longer than a slide goes on to the next, and no word is lost', () => {
    const text = Array.from({ length: 260 }, (_, i) => `Sentence ${i} of the arm.`).join(' ');
    const own = analyzed('K02-arms-tucked');
    const [first, ...rest] = buildSampleStory([own]).moments;
    const deck = make({ moments: first === undefined ? [] : [{ ...first, text }, ...rest] });
    const told = deck.slides.filter(({ title }) => title.startsWith('What became of the second sensor'));
    expect(told.length).toBeGreaterThan(1);
    expect(told[1]?.title).toBe('What became of the second sensor, continued');
    expect(told.flatMap(({ blocks }) => blocks.map((block) => (block.kind === 'paragraph' ? block.text : ''))).join(' ')).toBe(text);
  });
});

describe('pictures of slides', () => {
  const lanesOf = (deck: Deck): string[] => deckPictures(deck).map(({ figure }) => /Lanes: (.*)\.$/.exec(figure.alternative)?.[1] ?? '');
  const made = (lanes: LaneChoice, over: Partial<StoryMoment> = {}, marks: readonly CaseMark[] = [], withMarks = false): Deck => {
    const own = analyzed('K17-prone-infusion');
    const [, moment] = buildSampleStory([own]).moments;
    if (moment === undefined || moment.view === null) throw new Error('no view');
    const story = buildSampleStory([own], { moments: [{ ...moment, view: { ...moment.view, lanes }, ...over }] });
    return storyDeck({ story, cases: new Map([[sampleKey(0), own]]), parameters: DEFAULT_PARAMETERS, terms: listKnownTerms(), header: '', productVersion: '0.1.0', wishes: { withNotes: false, withMarks, keepsLaterBack: false }, marks: new Map([[sampleKey(0), marks]]), then: new Map() });
  };

  test('draw the lanes that the view chose, in its order, and no other', () => {
    const all = lanesOf(made(DEFAULT_LANES)).join('; ');
    for (const title of ['SpO2 of the', 'Perfusion index of the', 'Rate, /min', 'Pressure, mmHg', 'Temperature', 'states', 'phases', 'infusion of']) expect(all).toContain(title);
    const chosen = lanesOf(made({ lanes: [{ laneName: 'temperature', isShown: true, heightPx: null }, { laneName: 'rate', isShown: true, heightPx: 300 }, ...['perfusion', 'pressure', 'gas', 'respiration'].map((laneName) => ({ laneName, isShown: false, heightPx: null }))] })).join('; ');
    expect(chosen).not.toMatch(/Perfusion|Pressure|Gas|Breathing/);
    expect(chosen.indexOf('Temperature')).toBeLessThan(chosen.indexOf('Rate'));
  });

  test('can be read from the last row: no word on a slide is smaller than a fiftieth of its height', () => {
    // 1/50 of 540 pt is 10.8 pt; only the number above a loss, which the table repeats, is less than 12.
    for (const slide of made(DEFAULT_LANES).slides) {
      for (const part of layOutSlide(slide)) {
        if (part.kind !== 'figure') continue;
        for (const shape of part.figure.scene.shapes) if (shape.kind === 'text') expect((shape.size * part.width) / part.figure.scene.width, shape.text).toBeGreaterThan(SLIDE_SIZE.height / 50);
      }
    }
  });

  test('bear notes that were pinned to the case only where that is wished for, and they are asked about then', () => {
    const own = analyzed('K17-prone-infusion');
    const at = own.analysis.sites[0]?.dropouts.reduce((most, one) => (one.lostMs.mid > most.lostMs.mid ? one : most)).firstLostMs ?? 0;
    const mark: CaseMark = { markId: 'a'.repeat(32), ...markTimes(own.record.origin, at + 1000, null), text: 'Quillfeather turned the head' };
    expect(JSON.stringify(made(DEFAULT_LANES, {}, [mark]))).not.toContain('Quillfeather');
    const shown = made(DEFAULT_LANES, {}, [mark], true);
    expect(deckPictures(shown).some(({ figure }) => figure.scene.shapes.some((shape) => shape.kind === 'text' && shape.text === mark.text))).toBe(true);
    expect(askedOf({ kind: 'deck', deck: shown })).toEqual(['unknown word: Quillfeather']);
  });

  test('stand before the sequence, with times from the loss, and an assessment before what speaks for and against, without a cause', () => {
    const titles = (deck: Deck): string[] => deck.slides.map(({ title }) => title).filter((title) => title.startsWith('Case A: '));
    expect(titles(made(DEFAULT_LANES)).filter((title) => title.endsWith('for and against'))).toEqual([]);
    const deck = made(DEFAULT_LANES, { part: 'assessment' });
    const tables = deck.slides.flatMap(({ blocks }) => blocks.flatMap((block) => (block.kind === 'table' ? [block.table] : [])));
    const sequence = tables.find(({ caption }) => caption.startsWith('Sequence'));
    expect(sequence?.columns[1]?.heading).toMatch(/^From loss \d+$/);
    expect(sequence?.rows.find(([, from]) => from === '+0:00')?.[2]).toContain('begins');
    const evidence = tables.find(({ caption }) => caption.startsWith('What the record holds for and against'));
    // Analysis-spec 6: seven patterns, each said whether or not it holds.
    expect(evidence?.rows.map(([pattern]) => pattern)).toEqual([...ONSET_PATTERNS]);
    expect(JSON.stringify(deck)).toContain('whether anybody noticed');
    expect(JSON.stringify(tables)).not.toMatch(/\b(?:caused|because of|due to)\b/);
  });

  test('come first as recorded until the instant of the moment where what came later is kept back, and then whole', () => {
    const own = analyzed('K02-arms-tucked');
    const story = buildSampleStory([own]);
    const then = new Map(story.moments.flatMap(({ momentId, view }): [string, ReturnType<typeof analyzed>][] => {
      const place = view === null ? null : placeView(view, own.record, own.analysis);
      if (place?.kind !== 'placed' || place.instantMs === null) return [];
      const record = recordUntil(own.record, place.instantMs);
      return [[momentId, { record, analysis: analyzeCase(record, DEFAULT_PARAMETERS, '0.1.0') }]];
    }));
    const moment = story.moments.find(({ momentId }) => then.has(momentId));
    if (moment === undefined) throw new Error('no view');
    const make = (keepsLaterBack: boolean): Deck => storyDeck({ story, cases: new Map([[sampleKey(0), own]]), parameters: DEFAULT_PARAMETERS, terms: listKnownTerms(), header: '', productVersion: '0.1.0', wishes: { withNotes: false, withMarks: true, keepsLaterBack }, marks: new Map(), then: keepsLaterBack ? then : new Map() });
    const [whole, back] = [make(false), make(true)];
    const until = back.slides.filter(({ title }) => title.includes('as recorded until +'));
    expect(until.length).toBeGreaterThan(0);
    expect(whole.slides.some(({ title }) => title.includes('as recorded until'))).toBe(false);
    // The view goes from 10 min before the instant to 15 min after it, between 88 and 404 pt of a picture of 420: the instant stands at 214.4 (derived).
    const rightmost = (slides: readonly DeckSlide[]): number => Math.max(...deckPictures({ slides }).flatMap(({ figure }) => figure.scene.shapes.flatMap((shape) => (shape.kind === 'line' && shape.points.length > 2 ? shape.points.map(([x]) => x) : []))));
    expect(rightmost(until)).toBeGreaterThan(200);
    expect(rightmost(until)).toBeLessThanOrEqual(214.5);
    expect(rightmost(whole.slides)).toBeGreaterThan(300);
    const firstWhole = back.slides.findIndex(({ slideId }) => slideId === moment.momentId);
    expect(firstWhole).toBe(back.slides.findLastIndex((slide) => until.includes(slide)) + 1);
    // Whoever wrote the text knew the end.
    for (const slide of until) expect(JSON.stringify(slide)).not.toContain(moment.text.slice(0, 30));
    // Nothing is lost: the same slides in the same order, the table of the cases behind the pictures.
    const rest = back.slides.filter((slide) => !until.includes(slide) && slide.slideId !== 'cases' && slide.slideId !== 'title');
    expect(rest).toEqual(whole.slides.filter(({ slideId }) => slideId !== 'title'));
    expect(back.slides.find(({ slideId }) => slideId === 'cases')?.blocks).toEqual(whole.slides[0]?.blocks.filter(({ kind }) => kind === 'table'));
    expect(JSON.stringify(back.slides[0])).not.toContain('Losses');
    for (const slide of back.slides) for (const part of layOutSlide(slide)) expect(part.y + part.height, slide.title).toBeLessThanOrEqual(SLIDE_SIZE.height - 30);
    expect(askedOf({ kind: 'deck', deck: back })).toEqual([]);
  });

  test('leave a gap open in every lane: no line of a signal spans a time without a value', () => {
    for (const caseId of CASE_IDS) {
      const context = contextOf(analyzed(caseId));
      const { bounds } = context.analysis;
      for (const { scene } of stretchFigures(context, printClock(context.record.origin, true), { stretch: bounds, pointedAt: null, instantMs: null, isBoundShown: false, lanes: DEFAULT_LANES, notes: [], width: 420, height: 160, furtherHeight: 160 })) {
        const bands = scene.shapes.filter((shape) => shape.kind === 'box' && shape.fill === 'lossFaint' && shape.edge === null).flatMap((shape) => (shape.kind === 'box' && shape.width > 3 ? [shape] : []));
        for (const band of bands) {
          const over = scene.shapes.filter((shape) => shape.kind === 'line' && !['loss', 'rule', 'faint'].includes(shape.ink) && shape.points.every(([, y]) => y >= band.y && y <= band.y + band.height)
            && shape.points.some(([x], i) => i > 0 && (shape.points[i - 1]?.[0] ?? Infinity) < band.x + 0.02 && x > band.x + band.width - 0.02));
          expect(over, caseId).toEqual([]);
        }
      }
    }
  });
});

test('a stretch is cut at its edges, and no line is drawn over a loss', () => {
  const context = contextOf(analyzed('K02-arms-tucked'));
  const loss = context.analysis.sites[0]?.dropouts.reduce((most, one) => (one.lostMs.mid > most.lostMs.mid ? one : most));
  if (loss === undefined) throw new Error('no loss');
  const stretch = { startMs: loss.firstLostMs + 60_000, endMs: loss.firstLostMs + 180_000 };
  const figures = stretchFigures(context, printClock(context.record.origin, true), { stretch, pointedAt: loss, instantMs: null, isBoundShown: true, lanes: DEFAULT_LANES, notes: [], width: 470, height: 160, furtherHeight: 160 });
  const { scene, alternative } = figures[0] ?? { scene: { shapes: [] }, alternative: '' };
  for (const shape of figures.flatMap((figure) => figure.scene.shapes)) {
    const xs = shape.kind === 'line' || shape.kind === 'area' ? shape.points.map(([x]) => x) : shape.kind === 'box' ? [shape.x, shape.x + shape.width] : [];
    for (const x of xs) expect(x).toBeLessThanOrEqual(470);
  }
  expect(scene.shapes).toContainEqual(expect.objectContaining({ kind: 'text', text: `loss ${loss.number}, finger`, isBold: true }));
  expect(alternative).toContain('The mark at the top points at loss');
});

test('a title with a dollar sign stands in the SVG as it was typed', () => {
  const picture = { title: 'A $& B $\' C $$ D', figure: { caption: '', alternative: 'a > b', scene: { width: 10, height: 10, shapes: [] } } };
  expect(pictureSvg(picture, { header: '', footer: '' })).toContain("<title>A $&amp; B $' C $$ D</title><desc>a &gt; b</desc>");
});

test('a caption speaks of a dotted edge and of hollow marks only where the picture has them', () => {
  const context = contextOf(analyzed('K06-finger-and-ear'));
  const loss = context.analysis.sites[0]?.dropouts[1];
  if (loss === undefined) throw new Error('no loss');
  const stretch = { startMs: loss.firstLostMs - 180_000, endMs: loss.firstLostMs + 360_000 };
  const figures = stretchFigures(context, printClock(context.record.origin, true), { stretch, pointedAt: loss, instantMs: null, isBoundShown: true, lanes: DEFAULT_LANES, notes: [], width: 420, height: 160, furtherHeight: 160 });
  // Only the finger has a loss in this stretch.
  expect(figures.map(({ alternative, caption }) => [alternative.includes('SpO2 of the finger'), caption.includes('Dotted below SpO2')]).filter(([has, says]) => has !== says)).toEqual([]);
  expect(figures.some(({ alternative }) => alternative.includes('SpO2 of the ear lobe'))).toBe(true);
  const bypass = contextOf(analyzed('K11-bypass'));
  const whole = stretchFigures(bypass, printClock(bypass.record.origin, true), { stretch: bypass.analysis.bounds, pointedAt: null, instantMs: null, isBoundShown: true, lanes: DEFAULT_LANES, notes: [], width: 420, height: 160, furtherHeight: 160 });
  expect(whole.map(({ alternative, caption }) => [alternative.includes('what was given or done'), caption.includes('Hollow')]).filter(([has, says]) => has !== says)).toEqual([]);
  expect(whole.some(({ caption }) => caption.includes('Hollow'))).toBe(true);
});

test('the slide of the title has a row for each sensor, and no word stands twice in a row on any slide', () => {
  const own = CASE_IDS.map(analyzed);
  const story = buildSampleStory(own);
  const assessed = story.moments.map((moment): StoryMoment => (moment.view === null ? moment : { ...moment, part: 'assessment' }));
  const { slides } = storyDeck({ story: { ...story, moments: assessed }, cases: new Map(own.map((one, i) => [sampleKey(i), one])), parameters: DEFAULT_PARAMETERS, terms: listKnownTerms(), header: '', productVersion: '0.1.0', wishes: { withNotes: false, withMarks: false, keepsLaterBack: false }, marks: new Map(), then: new Map() });
  const rows = slides.filter(({ slideId }) => slideId.startsWith('title')).flatMap(({ blocks }) => blocks.flatMap((block) => (block.kind === 'table' ? block.table.rows : [])));
  expect(rows).toHaveLength(own.reduce((sum, { analysis }) => sum + Math.max(1, analysis.sites.filter(({ monitored }) => monitored !== null).length), 0));
  expect(slides.some(({ title }) => title.endsWith('for and against'))).toBe(true);
  for (const { title, blocks } of slides) expect([title, /\b([a-z]+) \1\b/iu.exec(JSON.stringify(blocks.filter(({ kind }) => kind !== 'figure')))?.[0] ?? null]).toEqual([title, null]);
});

test('words that have a slide to themselves are larger than beside a picture, and still fit', () => {
  const words = 'Place a second sensor before the arms are tucked.';
  const sizeOf = (text: string): readonly number[] => layOutSlide({ blocks: [{ kind: 'paragraph', tone: 'plain', text }] }).map((part) => (part.kind === 'text' ? part.size : 0));
  const [few] = sizeOf(words);
  const [many] = sizeOf(`${words} `.repeat(24));
  expect(few).toBeGreaterThan(many ?? Infinity);
  for (const times of [1, 8, 12, 16, 20, 24]) for (const part of layOutSlide({ blocks: [{ kind: 'paragraph', tone: 'plain', text: `${words} `.repeat(times) }] })) expect(part.y + part.height).toBeLessThanOrEqual(SLIDE_FRAME.body.bottom);
});
