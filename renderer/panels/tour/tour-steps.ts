import type { Place } from '../../state/session.ts';

/** What the window shows at one moment, as far as the steps look at it. */
export interface TourFacts {
  readonly place: Place;
  /** Cases of the library that are samples, and the others. */
  readonly samples: number;
  readonly others: number;
  /** The sample case that lost most, mid estimate; null without samples. */
  readonly worst: string | null;
  /** The open case; null where none is. */
  readonly openCaseId: string | null;
  /** Whether the open case is a sample. */
  readonly isSampleOpen: boolean;
  readonly dropoutId: string | null;
  readonly isBoundRead: boolean;
  readonly areExposuresShown: boolean;
  /** null: nobody has said who reads. */
  readonly reader: string | null;
  /** Dropouts of the open case with a saved verdict of the present reader. */
  readonly ownVerdicts: number;
  /** Whether definitions on trial differ from those of the library. */
  readonly isTrial: boolean;
  readonly isHelpOpen: boolean;
}

export interface TourStep {
  readonly stepId: string;
  readonly title: string;
  /** One sentence or two: what it is for. */
  readonly text: (facts: TourFacts) => string;
  /** What to press. */
  readonly press: (facts: TourFacts) => string;
  /** Whether it is done, given how things were when the step began. */
  readonly isDone: (facts: TourFacts, begun: TourFacts) => boolean;
  /** Done is something that stays in the library: where that is no sample case, the step says so and asks first. */
  readonly needsSample?: boolean;
}

/** The steps, in their order. Each looks at what the person has really done, wherever it was done from. */
export const TOUR_STEPS: readonly TourStep[] = [
  {
    stepId: 'samples', title: 'Have something to look at',
    text: ({ others }) => (others === 0
      ? 'The sample cases are invented: a hospital that does not exist. Anything can be tried on them.'
      : `This library holds ${others} ${others === 1 ? 'case that is' : 'cases that are'} no sample. The sample cases would stand beside them, named K01 to K17, and count in figures over all cases until they are removed. You may skip this and take a case of your own to look at.`),
    press: ({ others }) => (others === 0 ? 'Press “Add the sample cases”.' : 'Press “Add the sample cases here” only if that is what you want.'),
    isDone: ({ samples }) => samples > 0,
  },
  {
    stepId: 'worst', title: 'Open the case that lost most',
    text: ({ worst }) => `The library has the longest time lost on top${worst === null ? '' : `: ${worst}`}. The thin line is what the sampling leaves open.`,
    press: () => 'Press its name, or Enter on its row; l goes to the library.',
    isDone: (facts) => facts.place === 'case' && facts.openCaseId !== null && (facts.worst === null || facts.openCaseId === facts.worst),
  },
  {
    stepId: 'next', title: 'Go to the next dropout',
    text: () => 'A time in which a sensor gave no usable SpO2. It is hatched: no line is ever drawn across it.',
    press: () => 'Press n (or “Next ›” above the timeline).',
    isDone: ({ dropoutId }, begun) => dropoutId !== null && dropoutId !== begun.dropoutId,
  },
  {
    stepId: 'bound', title: 'Read what cannot be excluded',
    text: () => 'How low it went meanwhile nobody knows. How low it can have gone at most can be said: a bound, not what happened.',
    press: () => 'Open “What cannot be excluded inside it” under the chosen dropout in the list.',
    isDone: ({ isBoundRead }) => isBoundRead,
  },
  {
    stepId: 'before', title: 'See what came before',
    text: () => 'Boluses and changes of position stand with the dropouts that followed them. Close in time is all this says: it shows no cause.',
    press: () => 'Choose the tab “Exposures” above the list.',
    isDone: ({ areExposuresShown }) => areExposuresShown,
  },
  {
    stepId: 'verdict', title: 'Say what it was',
    text: () => 'You judge, not the program; “cannot tell” is a full answer. It stays in the trail of this library under your name.',
    press: ({ reader }) => (reader === null ? 'Press j, say who reads, n for a dropout, then a verdict, how sure, and w to save it.' : 'Press j, n for a dropout, then a verdict, how sure, and w to save it.'),
    isDone: ({ ownVerdicts }, begun) => ownVerdicts > begun.ownVerdicts || ownVerdicts > 0,
    needsSample: true,
  },
  {
    stepId: 'help', title: 'Ask how a figure is worked out',
    text: () => 'Headings of figures have a small mark that opens the page on how they are worked out.',
    press: () => 'Point at “Time lost” above the timeline and press its ?, or F1 on a table. Esc comes back.',
    isDone: ({ isHelpOpen }) => isHelpOpen,
  },
  {
    stepId: 'definition', title: 'Move a definition',
    text: () => 'What counts as a loss decides how many there are. The open case shows it at once; the library keeps its own.',
    press: () => 'Press d and choose 10 min for the shortest loss that counts.',
    isDone: ({ isTrial }) => isTrial,
  },
  {
    stepId: 'back', title: 'Put it back',
    text: () => 'Definitions on trial are marked wherever their figures stand.',
    press: () => 'Press “Back to the library’s”.',
    isDone: ({ isTrial }) => !isTrial,
  },
  {
    stepId: 'cautions', title: 'Read the cautions',
    text: () => 'What a record of numbers can never say, on one page.',
    press: () => 'Press a (or “All cautions” at the foot of the window).',
    isDone: ({ place }) => place === 'about',
  },
];

export const LAST_STEP = TOUR_STEPS.length;

/** Returns which step has this id, from 0; the first for an id that is none, as one of another version would be. */
export function stepAt(stepId: string): number {
  return Math.max(0, TOUR_STEPS.findIndex((step) => step.stepId === stepId));
}

/** Returns whether the step may not simply be done here: it would write about a case that is no sample. */
export function asksFirst(step: TourStep, facts: TourFacts): boolean {
  return step.needsSample === true && facts.openCaseId !== null && !facts.isSampleOpen;
}
