import type { ChangeEffect, ChangeSide, ChartLeftOut, QualityDefinition } from './quality-chart.ts';

/** What an action is measured by: a quality chart of the library, with its definition as it was when the action got it. A chart never changes its definition. */
export interface ActionMeasure {
  readonly chartId: string;
  readonly chartName: string;
  readonly definition: QualityDefinition;
}

/** Where an action came from. Titles as they were then. */
export type ActionOrigin =
  /** `momentId`: the moment of the story that it belongs to; null: the story as a whole. */
  | { readonly kind: 'story'; readonly storyId: string; readonly title: string; readonly momentId: string | null }
  | { readonly kind: 'report'; readonly title: string }
  | { readonly kind: 'by hand' };

/** What was done, and from which day on. */
export interface ActionChange {
  /** `YYYY-MM-DD`: the first day on which it held. A case that began on it belongs to the time after. */
  readonly date: string;
  readonly text: string;
  /** Where it is marked on a quality chart; null: the action had no chart, or the chart was gone. */
  readonly mark: { readonly chartId: string; readonly changeId: string } | null;
  /** ISO instant. */
  readonly saidAt: string;
}

/** The time before or after the change, as it was measured. */
export interface MeasuredSide extends ChangeSide {
  /** Patients, or cases that stand for themselves: what the interval counts with. */
  readonly units: number;
  /** Cases with a long loss, losses, ms lost; number of durations for a median. */
  readonly numerator: number;
  /** Cases, hours monitored, ms monitored; null for a median. */
  readonly denominator: number | null;
  /** `exact`: nothing was counted, and the limits are those of independent cases or losses. null: no interval. */
  readonly method: 'over units' | 'units drawn anew' | 'exact' | null;
  /** SHA-256 of what every case of the time gave, hexadecimal. */
  readonly digest: string;
}

/** How a re-measurement stands. Only a `measured` one closes the loop. */
export const STANDINGS = [
  'measured',
  /** No whole month, or no whole group of cases, lies after the change. */
  'too early',
  /** Fewer than `FEW_UNITS` patients or cases before or after. */
  'too few cases',
  /** Enough cases, and still no interval can be given. */
  'no interval',
] as const;
export type Standing = (typeof STANDINGS)[number];

/** The measure over the time before a change beside that after it. */
export interface Remeasurement {
  /** ISO instant. */
  readonly measuredAt: string;
  readonly productVersion: string;
  /** Which measure and which day it holds for. */
  readonly chartId: string;
  readonly changeDate: string;
  readonly standing: Standing;
  readonly compared: ChangeEffect['compared'];
  readonly before: MeasuredSide;
  readonly after: MeasuredSide;
  /** After ÷ before (for medians after − before); null with a reason. */
  readonly effect: ChangeEffect['effect'];
  /** Other marked changes between which the two times lie; null: from the first case, to the last. */
  readonly since: string | null;
  readonly until: string | null;
  readonly draws: { readonly replicates: number; readonly seed: number; readonly conf: number };
  readonly leftOut: Omit<ChartLeftOut, 'beforeFirst'>;
  /** Cases of the library that could not be read. */
  readonly unread: number;
}

/** What is measured, before it is said when and by which version. */
export type MeasuredAgain = Omit<Remeasurement, 'measuredAt' | 'productVersion' | 'unread'>;

/** An action was closed, given up or taken up again. */
export interface ActionSettled {
  /** `closed`: measured again and done with. `not carried out`: no change was made. `taken up again`: it is open once more. */
  readonly as: 'closed' | 'not carried out' | 'taken up again';
  readonly reason: string;
  /** ISO instant. */
  readonly at: string;
}

/** Something that a meeting or a report asked for, with what became of it. Actions are never removed. */
export interface MeetingAction {
  /** 16 hexadecimal digits. */
  readonly actionId: string;
  /** Raised by every change of it. */
  readonly edition: number;
  readonly what: string;
  /** Who sees to it: a role ("lead for monitoring"), not the name of a person. */
  readonly ownerRole: string;
  /** `YYYY-MM-DD`: by when the change is to be made; null: no day was set. */
  readonly due: string | null;
  /** null: not chosen yet; without it the action cannot be measured again. */
  readonly measure: ActionMeasure | null;
  readonly origin: ActionOrigin;
  /** A text of it looks like the name of a person, and a person said that it is none. */
  readonly saidNoPerson: boolean;
  /** ISO instant. */
  readonly writtenAt: string;
  /** null: nothing was changed yet. */
  readonly change: ActionChange | null;
  /** Changes that were said and taken back, with why. */
  readonly takenBack: readonly (ActionChange & { readonly reason: string; readonly takenBackAt: string })[];
  /** In the order in which they were made. */
  readonly remeasurements: readonly Remeasurement[];
  /** In the order in which they were said; the last one holds. */
  readonly settled: readonly ActionSettled[];
}

/** What becomes of an action, worked out from its facts. */
export const ACTION_STATES = ['open', 'change made', 'measured again', 'closed', 'not carried out'] as const;
export type ActionState = (typeof ACTION_STATES)[number];

/** An action with what follows from it on a day. */
export interface ActionView {
  readonly action: MeetingAction;
  readonly state: ActionState;
  /** Whole days since it was due; null: not due, no day set, or the change was made. 0: due today. */
  readonly overdueDays: number | null;
  /** The chart by its name of today; null: none chosen, or it is gone. */
  readonly chartName: string | null;
  /** Whether its change is marked on the chart today. */
  readonly isMarked: boolean;
  /** `YYYY-MM-DD`: from this day on a whole month lies after the change; null: no change, or the chart counts groups of cases. */
  readonly measurableFrom: string | null;
  /** The last re-measurement of this measure and this change; null: none. */
  readonly last: Remeasurement | null;
}

/** What a person writes of an action. `chartId` null: no measure yet. */
export interface ActionDraft {
  readonly what: string;
  readonly ownerRole: string;
  readonly due: string | null;
  readonly chartId: string | null;
}

/** What a person does with an action. */
export type ActionEdit =
  | { readonly kind: 'write'; readonly draft: ActionDraft }
  /** The change was made; it is marked on the chart too. */
  | { readonly kind: 'say change'; readonly date: string; readonly text: string }
  /** The change is to be marked on the action's chart, where its mark is missing. */
  | { readonly kind: 'mark change' }
  /** It was not made, or not so. Its mark on the chart stays until it is taken away there. */
  | { readonly kind: 'take change back'; readonly reason: string }
  | { readonly kind: 'settle'; readonly as: ActionSettled['as']; readonly reason: string };

export const ACTIONS_MOST = 2000;
export const ACTION_TEXT_MOST = 1000;
export const OWNER_ROLE_MOST = 120;
