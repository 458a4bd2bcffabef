import type { CaseAnalysis, Dropout, Exposure } from '../../../core/model/analysis.ts';
import type { CaseRecord } from '../../../core/model/case.ts';
import type { Interval } from '../../../core/base/interval.ts';
import type { StoryPart } from '../../../core/model/story.ts';
import { doseText, saturationText } from '../../format/number-text.ts';
import { createCaseClock, durationText, type CaseClock } from '../../format/time-text.ts';

export interface MomentProposal {
  readonly part: StoryPart;
  readonly title: string;
  readonly text: string;
}

/** Things on record that a proposal names; the rest is counted. */
const MOST_NAMED = 4;

/**
 * Returns words for a moment, made of facts alone: times from the first row, values, what was given and done. Meant to be overwritten. It names no cause.
 * `record` and `analysis` are those of a presented case, so that no name can come in; `dropout` is one of that analysis.
 */
export function proposeMoment(record: CaseRecord, analysis: CaseAnalysis, window: Interval, dropout: Dropout | null): MomentProposal {
  const clock = createCaseClock(record.origin);
  if (dropout === null) return { part: 'background', title: `${clock.clock(window.startMs)} to ${clock.clock(window.endMs)}`, text: sentences([`${durationText(window.endMs - window.startMs)} of the record.`, given(record, analysis, window, clock)]) };
  return { part: 'known when', title: `${dropout.siteKey}: SpO2 lost at ${clock.clock(dropout.firstLostMs)}`, text: sentences([lostSentence(dropout, clock), `SpO2 ${saturationText(dropout.spo2Before)} before${dropout.spo2After === null ? '' : ` and ${saturationText(dropout.spo2After)} after`}.`, before(dropout, analysis, clock), during(dropout, analysis, clock)]) };
}

function sentences(parts: readonly (string | null)[]): string {
  return parts.filter((part) => part !== null).join('\n');
}

function lostSentence(dropout: Dropout, clock: CaseClock): string {
  const { low, high } = dropout.lostMs;
  const length = low === high ? durationText(low) : `between ${durationText(low)} and ${durationText(high)}`;
  const begun = `No SpO2 at the ${dropout.siteKey} from ${clock.clock(dropout.firstLostMs)} of the record`;
  if (dropout.restoredBy === 'same site' && dropout.firstGoodMs !== null) return `${begun}; back there at ${clock.clock(dropout.firstGoodMs)}, lost ${length}.`;
  if (dropout.restoredBy === 'other site') return `${begun}; it came back at the ${dropout.restoredSiteKey ?? 'other site'}${dropout.restoredAfterMs === null ? '' : ` after ${durationText(dropout.restoredAfterMs)}`}.`;
  return `${begun}; it did not come back.`;
}

function exposureText({ label, dose, unit, atMs }: Exposure, clock: CaseClock): string {
  return `${label}${dose === null ? '' : ` ${doseText(dose, unit)}`} at ${clock.clock(atMs)}`;
}

function listed(exposures: readonly Exposure[], clock: CaseClock): string {
  const named = exposures.slice(0, MOST_NAMED).map((exposure) => exposureText(exposure, clock));
  return `${named.join('; ')}${exposures.length > MOST_NAMED ? `; and ${exposures.length - MOST_NAMED} more` : ''}`;
}

function find(analysis: CaseAnalysis, ids: readonly string[]): Exposure[] {
  return analysis.exposures.filter(({ exposureId }) => ids.includes(exposureId));
}

function before(dropout: Dropout, analysis: CaseAnalysis, clock: CaseClock): string {
  const exposures = find(analysis, dropout.links.map(({ exposureId }) => exposureId));
  return exposures.length === 0 ? 'Nothing on record in the time looked back over.' : `On record before it: ${listed(exposures, clock)}.`;
}

function during(dropout: Dropout, analysis: CaseAnalysis, clock: CaseClock): string | null {
  const exposures = find(analysis, dropout.responses.map(({ exposureId }) => exposureId));
  return exposures.length === 0 ? null : `Done meanwhile: ${listed(exposures, clock)}.`;
}

function given(record: CaseRecord, analysis: CaseAnalysis, window: Interval, clock: CaseClock): string {
  const isInside = ({ atMs }: { readonly atMs: number }): boolean => atMs >= window.startMs && atMs <= window.endMs;
  const doses = record.drugs.filter((drug) => drug.form === 'bolus' && isInside(drug)).map(({ inn, amount, unit, atMs }) => `${inn ?? 'a drug'} ${doseText(amount, unit)} at ${clock.clock(atMs)}`);
  const states = analysis.exposures.filter((exposure) => exposure.kind !== 'vasopressor bolus' && isInside(exposure)).map((exposure) => exposureText(exposure, clock));
  const all = [...doses, ...states];
  if (all.length === 0) return 'No dose, position or change of a sensor on record in it.';
  return `On record in it: ${all.slice(0, MOST_NAMED).join('; ')}${all.length > MOST_NAMED ? `; and ${all.length - MOST_NAMED} more` : ''}.`;
}
