import type { CaseMs } from '../base/brand.ts';
import { durationText, rangeText } from '../base/duration-text.ts';
import { countText, numberText, plainNumberText, shareText } from '../base/number-text.ts';
import type { CaseAnalysis, Dropout } from './analysis.ts';
import type { CaseRecord } from './case.ts';
import { ONSET_PATTERNS, type OnsetPattern } from './onset-evidence.ts';
import type { AnalysisParameters } from './parameters.ts';

/** Writes an instant of a case. */
interface WrittenClock {
  readonly clock: (atMs: CaseMs) => string;
}

/** An onset pattern with the figures behind it. */
export interface PatternWords {
  readonly pattern: OnsetPattern;
  readonly holds: boolean;
  /** The figures, and the rule they are held against; or why it cannot be judged. */
  readonly figures: string;
}

const seconds = (s: number): string => durationText(s * 1000);
const index = (value: number): string => plainNumberText(value, 2);

/** Returns every onset pattern of a dropout in the order in which they are written, whether or not it holds. */
export function patternWords(dropout: Dropout, analysis: CaseAnalysis, record: CaseRecord, clock: WrittenClock): PatternWords[] {
  return ONSET_PATTERNS.map((pattern) => ({
    pattern,
    holds: dropout.patterns.includes(pattern),
    figures: figuresOf(pattern, dropout, analysis.parameters, record, clock),
  }));
}

function figuresOf(pattern: OnsetPattern, dropout: Dropout, parameters: AnalysisParameters, record: CaseRecord, clock: WrittenClock): string {
  const { perfusion, cuff, unsteady, temperature, plannedBy } = dropout.evidence;
  const noIndex = 'cannot be judged: no perfusion index of this sensor shortly before the loss';
  switch (pattern) {
    case 'fading':
      if (perfusion === null) return noIndex;
      return `perfusion index ${index(perfusion.last)} at the loss, ${shareText(perfusion.fadeRatio)} of its highest ${index(perfusion.highest)} (${clock.clock(perfusion.highestAtMs)}) in the ${seconds(parameters.fadeWindowS)} before; lowest of the last ${seconds(parameters.onsetLastS)} ${index(perfusion.lowestOfLastPart)}. Rule: ${numberText(100 - parameters.fadeFallPct)} % or less, or below ${index(parameters.weakPerfusionIndex)} in the last ${seconds(parameters.onsetLastS)}${touched(dropout, clock)}`;
    case 'abrupt':
      if (perfusion === null) return noIndex;
      return `median of the last ${seconds(parameters.onsetLastS)} ${index(perfusion.medianOfLastPart)}, ${shareText(perfusion.steadyRatio)} of the ${index(perfusion.medianBefore)} of the ${seconds(parameters.steadyWindowS)} before. Rule: ${numberText(parameters.abruptKeepPct)} % or more, and ${index(parameters.desirablePerfusionIndex)} or more${touched(dropout, clock)}`;
    case 'cuff':
      if (cuff === null) return `no cuff pressure within ${seconds(parameters.cuffMarginS)} of the loss, or the loss was longer than ${seconds(parameters.cuffMaxS)} or did not end`;
      return [
        `cuff pressure at ${cuff.atMs.map((ms) => clock.clock(ms)).join(', ')}; ${countText(cuff.alike, 'dropout', 'dropouts')} of this sensor like that (rule: ${parameters.cuffMinDropouts} or more)`,
        cuff.cycleMs === null ? 'too few measurements to tell their cycle' : cuff.steps === 0 ? `cycle ${durationText(cuff.cycleMs)}` : `${cuff.stepsAtCycle} of ${countText(cuff.steps, 'step', 'steps')} between them at the cuff’s cycle of ${durationText(cuff.cycleMs)}`,
        ...(cuff.isRegular ? ['regular: the stronger sign'] : []),
      ].join('; ');
    case 'unsteady':
      return `${countText(unsteady.shortLosses, 'short loss', 'short losses')} and ${countText(unsteady.doubtfulRuns, 'doubtful run', 'doubtful runs')} in the ${seconds(parameters.unsteadyWindowS)} before. Rule: ${parameters.unsteadyMinRuns} or more together`;
    case 'cold':
      if (temperature === null) return 'cannot be judged: no core temperature recorded shortly before the loss';
      return `core temperature ${numberText(temperature.celsius, 1)} °C at ${clock.clock(temperature.atMs)}. Rule: below ${plainNumberText(parameters.coldBelowC)} °C`;
    case 'record gap':
      return dropout.recordGapMs.high > 0 ? `the recorder stood still inside for ${rangeText(dropout.recordGapMs)}` : 'the recorder did not stop inside';
    case 'planned':
      return plannedBy.length === 0 ? 'no event announces an interruption on purpose' : plannedBy.map((id) => eventText(id, record, clock)).join('; ');
  }
}

function touched({ evidence }: Dropout, clock: WrittenClock): string {
  const at = evidence.perfusion?.resetAtMs ?? null;
  return at === null ? '' : `. The sensor was touched at ${clock.clock(at)}: what stood before is not compared`;
}

/** Returns an event or a drug in the words in which it was written, with its time. */
export function eventText(id: string, record: CaseRecord, clock: WrittenClock): string {
  const event = record.events.find((candidate) => candidate.eventId === id);
  if (event !== undefined) return `${event.text === '' ? event.term || event.kind : event.text}, ${clock.clock(event.atMs)}`;
  const drug = record.drugs.find((candidate) => candidate.drugId === id);
  return drug === undefined ? 'an event that is no longer listed' : `${drug.inn ?? drug.text}, ${clock.clock(drug.atMs)}`;
}

/** Returns the course of the perfusion index before a loss in words: the twin of its drawing. */
export function courseText({ evidence }: Dropout): string {
  const { perfusion } = evidence;
  if (perfusion === null) return 'No perfusion index shortly before the loss.';
  const perMinute = 60_000 / perfusion.courseBinMs;
  const last = perfusion.course.length - 1;
  const parts: string[] = [];
  for (let minutes = Math.floor((last + 1) / perMinute); minutes >= 0; minutes--) {
    const level = perfusion.course[Math.max(0, Math.round(last - minutes * perMinute))] ?? null;
    parts.push(`${minutes === 0 ? 'at the loss' : `${minutes} min before`} ${level === null ? 'no value' : index(level)}`);
  }
  return `Perfusion index, medians of ${durationText(perfusion.courseBinMs)}: ${parts.join(', ')}.`;
}
