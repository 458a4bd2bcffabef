import type { Guess } from '../model/import-report.ts';
import { ZoneClock } from '../time/zone-clock.ts';
import type { ClockState } from './time-column.ts';

const HOUR_MS = 3_600_000;
/** Shorter steps back are rows out of order. A clock put back by an hour steps back by an hour less one row. */
const SLACK_MS = 300_000;

/** A place at which local times step back, rows taken in the order of the file. */
export interface StepBack {
  /** Physical line of the first row after the step. */
  readonly line: number;
  /** Wall-clock times on both sides, in ms as if they were UTC. */
  readonly fromMs: number;
  readonly toMs: number;
}

/** Gathers where the local times of a file step back, case by case. */
export class StepsBack {
  private readonly byCase = new Map<ClockState, StepBack & { count: number }>();

  /** Takes one step; `state` is the clock of the row's case. Steps of less than 5 min are not counted. */
  add(state: ClockState, line: number, fromMs: number, toMs: number): void {
    if (fromMs - toMs < SLACK_MS) return;
    const known = this.byCase.get(state);
    if (known === undefined) this.byCase.set(state, { line, fromMs, toMs, count: 1 });
    else known.count += 1;
  }

  /**
   * Returns the first step that looks like clocks put back by an hour: the only one of its case, 55 to 60 min long.
   * Not where the rows step back to their first time and end on that from which they stepped back (a table that stands there twice), and in a long table,
   * where each name may bring its rows in one piece, only where they go on well beyond it.
   */
  clocksPutBack(isLong: boolean): StepBack | null {
    for (const [state, step] of this.byCase) {
      const size = step.fromMs - step.toMs;
      if (step.count !== 1 || size < HOUR_MS - SLACK_MS || size > HOUR_MS) continue;
      if (isLong ? state.last > step.fromMs + SLACK_MS : state.last !== step.fromMs || state.first !== step.toMs) return step;
    }
    return null;
  }
}

/**
 * Zones offered where clocks were put back, one for each set of rules that people anaesthetise under in numbers.
 * Source: common practice without source (a choice from the IANA time zone database, from memory).
 */
const OFFERED_ZONES: readonly string[] = [
  'Europe/London',
  'Europe/Berlin',
  'Europe/Helsinki',
  'America/St_Johns',
  'America/Halifax',
  'America/New_York',
  'America/Chicago',
  'America/Denver',
  'America/Los_Angeles',
  'America/Anchorage',
  'Australia/Adelaide',
  'Australia/Sydney',
  'Pacific/Auckland',
];

function occursTwice(zone: string, wallMs: number): boolean {
  const clock = new ZoneClock(zone);
  clock.toUtc(wallMs, -Infinity);
  return clock.nTwice > 0;
}

/** Returns what to say about clocks that were put back in a file whose zone nobody stated; offers the zones in which that hour occurs twice. */
export function stepBackGuess({ line, fromMs, toMs }: StepBack): Guess {
  const minutes = Math.round((fromMs - toMs) / 60_000);
  const zones = OFFERED_ZONES.filter((zone) => occursTwice(zone, fromMs) && occursTwice(zone, toMs));
  return {
    field: 'zone',
    taken: `The times step back by ${minutes} min at line ${line}; both hours were put on top of each other, and rows at the same time were dropped as duplicates or conflicts.`,
    because: 'no time zone is stated. Clocks may have been put back there: state the time zone of the file and read it again',
    certainty: 'assumed',
    alternatives: zones.map((zone) => ({ label: `Times of ${zone}, where that hour occurs twice`, rules: { zone } })),
  };
}
