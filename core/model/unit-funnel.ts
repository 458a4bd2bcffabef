import type { ColumnChoice, QualityDefinition } from './quality-chart.ts';
import type { Site } from './site.ts';

/** Units with fewer cases than this bear no name. Source: statistics g. */
export const FEWEST_NAMED_CASES = 10;

/** What units are compared by. */
export interface FunnelRequest extends Pick<QualityDefinition, 'lossOf' | 'longerThanS' | 'doubtfulLost' | 'dropouts'> {
  /** `site`: where sensors sat; otherwise a column of the case list. */
  readonly by: { readonly kind: 'site' } | { readonly kind: 'column'; readonly column: string };
  /** `YYYY-MM-DD`, both included; null: without a bound. A case without a date takes part only when both are null. */
  readonly firstDate: string | null;
  readonly lastDate: string | null;
  readonly choice: readonly ColumnChoice[];
}

/** What the cases of a unit were like, since units differ in their cases. */
export interface CaseMix {
  /** Years; null where no case states an age. 90 and over count as 90. */
  readonly medianAge: number | null;
  readonly casesWithAge: number;
  /** Share of cases with a vasopressor on record. */
  readonly withVasopressor: number;
  /** Share of cases with a sensor at each site that occurs, in the order of the sites. */
  readonly sites: readonly { readonly site: Site; readonly share: number }[];
}

/** One room, service or site. */
export interface FunnelUnit {
  /** null: fewer than `FEWEST_NAMED_CASES` cases; its cases are not listed either. */
  readonly name: string | null;
  readonly cases: number;
  readonly withLongLoss: number;
  readonly share: number;
  /** Chance of so many or more, and of so many or fewer, if the unit were like all. */
  readonly pUpper: number | null;
  readonly pLower: number | null;
  /** Limits at its number of cases: 95 % and 99.8 % between them, widened where units differ more than chance. */
  readonly lower95: number;
  readonly upper95: number;
  readonly lower998: number;
  readonly upper998: number;
  readonly status: 'inside' | 'above 95 %' | 'above 99.8 %' | 'below 95 %' | 'below 99.8 %';
  readonly mix: CaseMix;
  readonly caseKeys: readonly string[];
}

/** Limits at a number of cases, to draw the funnel. */
export interface FunnelCurvePoint {
  readonly cases: number;
  readonly lower95: number;
  readonly upper95: number;
  readonly lower998: number;
  readonly upper998: number;
}

/** Units of one period against all of them together. Never a ranking: units stand in the order of their names. */
export interface UnitFunnel {
  /** Share over all units: what the limits lie around. null: no case. */
  readonly target: number | null;
  readonly units: readonly FunnelUnit[];
  readonly curve: readonly FunnelCurvePoint[];
  /** How much more units differ than chance makes them; null where that cannot be said. */
  readonly phi: number | null;
  readonly phiThreshold: number | null;
  /** Limits are widened by √phi. */
  readonly isWidened: boolean;
  /** `notReviewed`: a dropout of it waits to be read; only where confirmed dropouts count. */
  readonly leftOut: { readonly notUsable: number; readonly notChosen: number; readonly outsidePeriod: number; readonly withoutUnit: number; readonly notReviewed?: number | undefined };
}

/** So many values of a column are offered to choose from. */
export const MOST_LISTED_VALUES = 60;

/** A column of the case list that cases may be grouped by, or the reason why not. */
export interface GroupingColumn {
  readonly column: string;
  readonly values: number;
  /** The commonest values with their cases, at most `MOST_LISTED_VALUES`; none of a column that is refused. */
  readonly commonest: readonly { readonly value: string; readonly cases: number }[];
  readonly refusedBecause: 'names persons' | 'one value' | 'a value for almost every case' | null;
}
