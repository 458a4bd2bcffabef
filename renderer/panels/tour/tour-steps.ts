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
      ? 'The sample cases are invented: a hospital that does not exist, patients who never were. Every figure about them can be tried without harm.'
      : `This library holds ${others} ${others === 1 ? 'case that is' : 'cases that are'} no sample. The sample cases would stand beside them, named K01 to K17, and count in figures over all cases until they are removed. You may skip this and take a case of your own to look at.`),
    press: ({ others }) => (others === 0 ? 'Press “Add the sample cases”.' : 'Press “Add the sample cases here” only if that is what you want.'),
    isDone: ({ samples }) => samples > 0,
  },
  {
    stepId: 'worst', title: 'Open the case that lost most',
    text: ({ worst }) => `The library stands with the longest time lost on top${worst === null ? '' : `: ${worst}`}. The bar shows the middle estimate and, as a thin line, what the sampling leaves open.`,
    press: () => 'Press the name of the first case, or go to its row with the arrow keys and press Enter. From elsewhere, l goes to the library.',
    isDone: (facts) => facts.place === 'case' && facts.openCaseId !== null && (facts.worst === null || facts.openCaseId === facts.worst),
  },
  {
    stepId: 'next', title: 'Go to the next dropout',
    text: () => 'A dropout is a time in which one sensor gave no usable SpO2. The hatching is nothing measured: the line is never drawn across it.',
    press: () => 'Press n (or “Next ›” above the timeline).',
    isDone: ({ dropoutId }, begun) => dropoutId !== null && dropoutId !== begun.dropoutId,
  },
  {
    stepId: 'bound', title: 'Read what cannot be excluded',
    text: () => 'Nobody knows how low it went meanwhile. What can be said is how low it can have gone at the most, from the last good value to the next: a bound, not what happened.',
    press: () => 'Open “What cannot be excluded inside it” in the list on the right, under the chosen dropout.',
    isDone: ({ isBoundRead }) => isBoundRead,
  },
  {
    stepId: 'before', title: 'See what came before',
    text: () => 'Boluses, infusions and changes of position stand with the dropouts that followed them, and those that none followed too. Close in time is all this says; it shows no cause.',
    press: () => 'Choose the tab “Exposures” above the list.',
    isDone: ({ areExposuresShown }) => areExposuresShown,
  },
  {
    stepId: 'verdict', title: 'Say what it was',
    text: ({ reader }) => `The program judges nothing: you do. “Cannot tell” is a full answer. ${reader === null ? 'It asks once who reads. ' : ''}The verdict stays in the trail of this library, under your name.`,
    press: ({ reader }) => (reader === null ? 'Press j, say who reads, choose a dropout with n, then a verdict and how sure you are, and w to save it.' : 'Press j, choose a dropout with n, then a verdict and how sure you are, and w to save it.'),
    isDone: ({ ownVerdicts }, begun) => ownVerdicts > begun.ownVerdicts || ownVerdicts > 0,
    needsSample: true,
  },
  {
    stepId: 'help', title: 'Ask how a figure is worked out',
    text: () => 'Every heading of figures has a small mark that opens the page on how they are worked out, at the right part. Pages lead to each other, and can be searched.',
    press: () => 'Point at the heading “Time lost” above the timeline and press its ?, or press F1 with the focus on a table. Esc comes back.',
    isDone: ({ isHelpOpen }) => isHelpOpen,
  },
  {
    stepId: 'definition', title: 'Move a definition',
    text: () => 'How many losses there are hangs on what counts as one. Here it can be moved, and the open case shows at once what becomes of its figures. The library keeps its own until you say otherwise.',
    press: () => 'Press d and choose 10 min for the shortest loss that counts; see on the right what is left.',
    isDone: ({ isTrial }) => isTrial,
  },
  {
    stepId: 'back', title: 'Put it back',
    text: () => 'Definitions on trial are marked wherever their figures stand. Going back costs nothing.',
    press: () => 'Press “Back to the library’s”.',
    isDone: ({ isTrial }) => !isTrial,
  },
  {
    stepId: 'cautions', title: 'Read the cautions',
    text: () => 'What a record of numbers can never say, on one page. Whoever shows a figure of this program to others should have read it once.',
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
