import { useEffect, useState } from 'react';
import type { JSX } from 'react';
import type { Interval } from '../../../core/base/interval.ts';
import { siteKey } from '../../../core/model/site.ts';
import { DEFAULT_LANES } from '../../../core/model/lane-choice.ts';
import type { LaneChoice } from '../../../core/model/lane-choice.ts';
import { OnsetCourse } from '../../../renderer/panels/case-view/onset-course.tsx';
import type { PlacedMark } from '../../../renderer/state/case-marks.ts';
import { linkViewports } from '../../../renderer/state/linked-viewports.ts';
import { createStore } from '../../../renderer/state/store.ts';
import { createViewport } from '../../../renderer/state/viewport.ts';
import type { Viewport } from '../../../renderer/state/viewport.ts';
import { caseExtent } from '../../../renderer/timeline/case-extent.ts';
import { dropoutsInOrder } from '../../../renderer/timeline/dropout-walk.ts';
import type { HandBounds } from '../../../renderer/timeline/hand-bounds.ts';
import { siteStyles } from '../../../renderer/timeline/lanes.ts';
import { Timeline } from '../../../renderer/timeline/timeline.tsx';
import type { BuiltName, DrawPicture, PictureCase, SampleName } from './picture.ts';

const MIN = 60_000;
const ignore = (): void => undefined;
const NO_MARKS: readonly PlacedMark[] = [];
const NO_HAND_BOUNDS: readonly HandBounds[] = [];

interface Look {
  readonly of: PictureCase;
  /** Left out: the whole case. */
  readonly window?: Interval;
  readonly cursorMs?: number;
  /** By its place among the dropouts in time order. */
  readonly chosen?: number;
  readonly isBoundShown?: boolean;
  readonly lanes?: LaneChoice;
  readonly marks?: readonly PlacedMark[];
  readonly chosenMarkId?: string;
  readonly handBounds?: readonly HandBounds[];
  readonly themeName?: 'light' | 'dark';
}

function Shown({ of: { record, analysis }, window: shown, cursorMs, chosen, isBoundShown = false, lanes = DEFAULT_LANES, marks = NO_MARKS, chosenMarkId, handBounds = NO_HAND_BOUNDS, themeName: ownTheme = 'light', viewport: given, isBare = false }: Look & { readonly viewport?: Viewport; readonly isBare?: boolean }): JSX.Element {
  const [viewport] = useState(() => {
    const made = given ?? createViewport(caseExtent(record, analysis));
    if (shown !== undefined) made.set(shown);
    if (cursorMs !== undefined) made.setCursorMs(cursorMs);
    return made;
  });
  const [boundShown] = useState(() => createStore(isBoundShown));
  const [themeName, setThemeName] = useState(ownTheme);
  // Paper is light whatever the screen is.
  useEffect(() => {
    const onPrint = (): void => setThemeName('light');
    window.addEventListener('beforeprint', onPrint);
    return () => window.removeEventListener('beforeprint', onPrint);
  }, []);
  const [choice, setChoice] = useState(lanes);
  const [selected, setSelected] = useState<string | null>(() => (chosen === undefined ? null : (dropoutsInOrder(analysis)[chosen]?.dropoutId ?? null)));
  return (
    <Timeline
      record={record} analysis={analysis} viewport={viewport} selectedDropoutId={selected} onSelectDropout={setSelected} lanes={choice} onLanes={setChoice}
      marks={marks} chosenMarkId={chosenMarkId ?? null} onChooseMark={ignore} onMark={ignore} handBounds={handBounds} onCompare={isBare ? null : ignore} themeName={themeName} boundShown={boundShown} isBare={isBare}
    />
  );
}

function around(atMs: number, halfMs: number): Interval {
  return { startMs: atMs - halfMs, endMs: atMs + halfMs };
}

function markOf(markId: string, startMs: number, endMs: number | null, text: string): PlacedMark {
  return { mark: { markId, clock: 'absolute', startMs, endMs, text }, place: { startMs, endMs: endMs ?? startMs } };
}

function lane(laneName: string, isShown = true, heightPx: number | null = null): LaneChoice['lanes'][number] {
  return { laneName, isShown, heightPx };
}

/* A window's own sizes: what stands beside the timeline takes its share. */
const WINDOW_1280 = { widthPx: 1280, heightPx: 800 };
const WINDOW_1920 = { widthPx: 1920, heightPx: 1080 };

function wholeCase(name: BuiltName = 'three hours'): DrawPicture {
  return (cases) => ({ element: <Shown of={cases.built(name)} />, ...WINDOW_1280 });
}

function wholeSample(name: SampleName): DrawPicture {
  return (cases) => ({ element: <Shown of={cases.sample(name)} /> });
}

/** Pictures of the timeline; the key of each is its name. */
export const TIMELINE_PICTURES: Readonly<Record<string, DrawPicture>> = {
  'timeline-whole-case': wholeCase(),
  'timeline-whole-case-dark': (cases) => ({ element: <Shown of={cases.built('three hours')} themeName="dark" />, ...WINDOW_1280, theme: 'dark' }),
  'timeline-whole-case-printed-from-dark': (cases) => ({ element: <Shown of={cases.built('three hours')} themeName="dark" />, theme: 'dark', isPrint: true }),
  'timeline-whole-case-1920': (cases) => ({ element: <Shown of={cases.built('three hours')} />, ...WINDOW_1920 }),
  'timeline-whole-case-3840-as-1920-twice': (cases) => ({ element: <Shown of={cases.built('three hours')} />, ...WINDOW_1920, ratio: 2 }),
  'timeline-ratio-one-and-a-quarter': (cases) => ({ element: <Shown of={cases.built('three hours')} window={around(1_560_000, 5 * MIN)} />, widthPx: 768, heightPx: 480, ratio: 1.25 }),
  'timeline-ratio-one-and-a-half': (cases) => ({ element: <Shown of={cases.built('three hours')} window={around(1_560_000, 5 * MIN)} />, widthPx: 768, heightPx: 480, ratio: 1.5 }),
  'timeline-on-a-large-screen': (cases) => ({ element: <div style={{ zoom: 1.4, height: '100%' }}><Shown of={cases.built('three hours')} window={around(1_560_000, 5 * MIN)} /></div>, widthPx: 1344, heightPx: 840 }),
  'timeline-1-min': (cases) => ({ element: <Shown of={cases.built('three hours')} cursorMs={1_500_000} />, keys: ['1'] }),
  'timeline-5-min': (cases) => ({ element: <Shown of={cases.built('three hours')} cursorMs={1_500_000} />, keys: ['2'] }),
  'timeline-15-min': (cases) => ({ element: <Shown of={cases.built('three hours')} cursorMs={1_500_000} />, keys: ['3'] }),
  'timeline-dropout-chosen': (cases) => ({ element: <Shown of={cases.built('three hours')} />, keys: ['n', 'n'] }),
  'timeline-what-cannot-be-excluded': (cases) => ({ element: <Shown of={cases.built('three hours')} window={around(3_120_000, 10 * MIN)} chosen={2} isBoundShown />, keys: ['2'] }),
  'timeline-what-cannot-be-excluded-dark': (cases) => ({ element: <Shown of={cases.built('three hours')} chosen={2} isBoundShown themeName="dark" />, theme: 'dark' }),
  'timeline-blind': (cases) => ({ element: <Shown of={cases.built('three hours')} window={around(3_000_000, 8 * MIN)} /> }),
  'timeline-record-gap': (cases) => ({ element: <Shown of={cases.built('three hours')} window={around(6_540_000, 12 * MIN)} /> }),
  'timeline-doubtful': (cases) => ({ element: <Shown of={cases.built('three hours')} window={around(5_775_000, 8 * MIN)} /> }),
  'timeline-fading-before-a-loss': (cases) => ({ element: <Shown of={cases.built('three hours')} window={{ startMs: 1_200_000, endMs: 1_640_000 }} lanes={{ lanes: [lane('spo2'), lane('perfusion', true, 220), lane('rate', false), lane('pressure', false), lane('temperature', false)] }} /> }),
  'timeline-states-over-each-other': wholeCase('states'),
  'timeline-open-phase': (cases) => ({ element: <Shown of={cases.built('states')} window={around(6_400_000, 12 * MIN)} /> }),
  'timeline-measuring': (cases) => ({ element: <Shown of={cases.built('three hours')} window={around(1_500_000, 5 * MIN)} cursorMs={1_450_000} />, keys: ['m', 'Alt+ArrowRight', 'Alt+ArrowRight'] }),
  'timeline-measured': (cases) => ({ element: <Shown of={cases.built('three hours')} window={around(1_500_000, 5 * MIN)} cursorMs={1_490_000} />, keys: ['m', ...Array.from({ length: 26 }, () => 'Alt+ArrowRight'), 'm'] }),
  'timeline-marks': (cases) => ({
    element: (
      <Shown
        of={cases.built('three hours')} chosenMarkId="b"
        marks={[markOf('a', 1_380_000, null, 'Pulse lost at the wrist'), markOf('b', 2_700_000, 3_600_000, 'Both sensors: who saw it?'), markOf('c', 3_200_000, 4_000_000, 'Changed the probe'), markOf('d', 7_600_000, null, ''), markOf('e', 8_300_000, 8_300_000, 'Reseated; a note long enough that it has to be cut somewhere')]}
      />
    ),
  }),
  'timeline-lanes-reordered': (cases) => ({
    element: <Shown of={cases.built('three hours')} lanes={{ lanes: [lane('pressure', true, 150), lane('spo2', true, 220), lane('temperature'), lane('rate', false), lane('perfusion')] }} />,
  }),
  'timeline-one-lane': (cases) => ({ element: <Shown of={cases.built('many lanes')} lanes={{ lanes: ['perfusion', 'rate', 'gas'].map((name) => lane(name, false)) }} /> }),
  'timeline-twenty-four-lanes': (cases) => {
    const of = cases.built('many lanes');
    return { element: <Shown of={of} lanes={{ lanes: of.record.channels.filter(({ quantity }) => quantity === 'other').map(({ label }) => lane(`channel ${label}`)) }} />, widthPx: 1280, heightPx: 1640 };
  },
  'timeline-24-lanes-in-a-low-window': (cases) => {
    const of = cases.built('many lanes');
    return { element: <Shown of={of} lanes={{ lanes: of.record.channels.filter(({ quantity }) => quantity === 'other').map(({ label }) => lane(`channel ${label}`)) }} />, ...WINDOW_1280 };
  },
  'timeline-narrow': (cases) => ({ element: <Shown of={cases.built('three hours')} />, widthPx: 680, heightPx: 700 }),
  'timeline-hand-bounds': (cases) => {
    const of = cases.built('three hours');
    const [first, second] = dropoutsInOrder(of.analysis).filter((dropout) => dropout.siteKey === 'finger');
    if (first === undefined || second === undefined) throw new Error('the case has two dropouts of the finger');
    const handBounds = [first, second].map(({ dropoutId, siteKey: site, lastGoodMs, firstLostMs, lastLostMs, firstGoodMs }, i): HandBounds => ({
      dropoutId, siteKey: site, by: i === 0 ? 'AB' : 'CD', endMs: of.analysis.bounds.endMs, isDraft: i === 1,
      bounds: { lastGoodMs: lastGoodMs - 20_000, firstLostMs: firstLostMs - 15_000, lastLostMs: i === 0 ? lastLostMs : null, firstGoodMs: i === 0 ? firstGoodMs : null },
    }));
    return { element: <Shown of={of} window={{ startMs: 1_200_000, endMs: 3_600_000 }} handBounds={handBounds} /> };
  },
  'timeline-table': (cases) => ({ element: <Shown of={cases.built('three hours')} window={around(3_000_000, 5 * MIN)} isBoundShown />, heightPx: 760, keys: ['t'] }),
  'timeline-huge': (cases) => ({ element: <Shown of={cases.built('huge')} />, ...WINDOW_1280 }),
  'timeline-nothing-monitored': (cases) => ({ element: <Shown of={cases.built('nothing')} />, heightPx: 360 }),
  'timeline-arms-tucked': wholeSample('K02-arms-tucked'),
  'timeline-moved-to-nasal-ala': wholeSample('K05-move-to-nasal-ala'),
  'timeline-two-sites': wholeSample('K06-finger-and-ear'),
  'timeline-finger-and-forehead-blind': wholeSample('K07-blind-interval'),
  'timeline-recorder-stopped': wholeSample('K08-record-gap'),
  'timeline-minute-data': wholeSample('K09-minute-data'),
  'timeline-without-loss': wholeSample('K10-without-loss'),
  'timeline-bypass': wholeSample('K11-bypass'),
  'timeline-cold-hands': wholeSample('K13-cold-hands'),
  'timeline-prone-and-infusion': wholeSample('K17-prone-infusion'),
  'timeline-compared-stretches': (cases) => {
    const of = cases.built('three hours');
    const bounds = caseExtent(of.record, of.analysis);
    const [first, , , second] = dropoutsInOrder(of.analysis);
    if (first === undefined || second === undefined) throw new Error('the case has four dropouts');
    const linked = linkViewports({ bounds, anchorMs: first.firstLostMs }, { bounds, anchorMs: second.firstLostMs });
    linked.first.show(around(first.firstLostMs, 0), 5 * MIN);
    const flag = (atMs: number): readonly PlacedMark[] => [{ ...markOf('aligned', atMs, null, 'aligned here'), isNumbered: false }];
    return {
      element: (
        <div className="two">
          <div><Shown of={of} viewport={linked.first} marks={flag(first.firstLostMs)} isBare /></div>
          <div><Shown of={of} viewport={linked.second} marks={flag(second.firstLostMs)} isBare /></div>
        </div>
      ),
      heightPx: 800,
    };
  },
  'perfusion-index-before-losses': (cases) => {
    const of = cases.built('three hours');
    const styles = siteStyles(of.record, of.analysis);
    const shown = dropoutsInOrder(of.analysis).flatMap((dropout) => {
      const channel = of.record.channels.find((one) => one.quantity === 'perfusion-index' && one.site !== null && siteKey({ site: one.site, sensor: one.sensor }) === dropout.siteKey);
      return channel === undefined ? [] : [{ dropout, channel }];
    });
    return {
      element: (
        <div className="sheet">
          {(['row', 'details'] as const).map((size) => (
            <p key={size} style={{ display: 'flex', gap: 12 }}>{shown.slice(0, size === 'row' ? undefined : 3).map(({ dropout, channel }) => <OnsetCourse key={dropout.dropoutId} dropout={dropout} channel={channel} parameters={of.analysis.parameters} style={styles.get(dropout.siteKey)} size={size} />)}</p>
          ))}
        </div>
      ),
      heightPx: 260,
    };
  },
};
