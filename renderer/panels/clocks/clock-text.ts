import type { CasePart } from '../../../core/model/case-part.ts';
import type { CaseOrigin, SourceFile } from '../../../core/model/case.ts';
import type { ClockComparison, ClockEvidence } from '../../../core/model/clock-comparison.ts';
import { numberText, plainNumberText } from '../../format/number-text.ts';
import { clockOffsetText } from '../../format/time-text.ts';

/** Returns an offset with its sign, in seconds: "+84 s", "−12.5 s", "0 s". */
export function signedSecondsText(ms: number | null): string {
  if (ms === null) return '–';
  return `${ms > 0 ? '+' : ''}${plainNumberText(ms / 1000, 1)} s`;
}

/** Returns what the times of a source are. */
export function clockKindText(part: CasePart | undefined): string {
  switch (part?.clock) {
    case undefined:
      return 'not kept with this case';
    case null:
      return 'no times';
    case 'absolute':
      return 'date and time';
    case 'time of day':
      return 'time of day, no date';
    case 'elapsed':
      return 'time since a start';
  }
}

/** Returns in which zone a source's times were read, and who said so. */
export function zoneText(part: CasePart | undefined, origin: CaseOrigin): string {
  if (part === undefined) return origin.zoneStated ? origin.zone : 'not stated';
  if (part.clock !== 'absolute') return '–';
  switch (part.zone.basis) {
    case 'stated':
      return `${part.zone.name}, stated`;
    case 'offset':
      return `${part.zone.name}, written in the file`;
    case 'none':
      return origin.zoneStated ? `not stated, read in ${origin.zone}` : 'not stated';
  }
}

/** Returns the offset that is set on a source, and on what ground. */
export function setOffsetText({ clockOffsetMs, acceptedOffset }: SourceFile): string {
  if (clockOffsetMs === 0) return clockOffsetText(0);
  return `${clockOffsetText(clockOffsetMs)}; ${acceptedOffset === undefined ? 'set by hand' : `a proposal that was accepted, against ${acceptedOffset.against}`}`;
}

/** Returns what the data say of a clock, in a few words. */
export function verdictText({ verdict, offsetMs }: ClockComparison): string {
  switch (verdict) {
    case 'proposed':
      return `${signedSecondsText(offsetMs)} proposed`;
    case 'agrees':
      return 'agrees as it is';
    case 'changes':
      return 'not the same throughout';
    case 'cannot be told':
      return 'cannot be told';
  }
}

/** Returns the figures of one piece of evidence, named. */
export function evidenceRows(evidence: ClockEvidence): (readonly [name: string, text: string])[] {
  const isCourse = evidence.method === 'course';
  const agreement = (value: number | null): string => (isCourse ? numberText(value, 2) : value === null ? '–' : `${numberText(value * 100)} % found again`);
  return [
    ['Best offset', signedSecondsText(evidence.offsetMs)],
    ['Between', evidence.lowMs === null || evidence.highMs === null ? '–' : `${signedSecondsText(evidence.lowMs)} and ${signedSecondsText(evidence.highMs)}`],
    [isCourse ? 'Correlation there' : 'Agreement there', agreement(evidence.peak)],
    [isCourse ? 'Correlation as the clocks stand' : 'Agreement as the clocks stand', agreement(evidence.atPresent)],
    [isCourse ? 'Highest elsewhere' : 'Most elsewhere', agreement(evidence.next)],
    [isCourse ? 'Pairs of values' : 'Measurements found in both', isCourse || evidence.nOf === null ? numberText(evidence.n) : `${numberText(evidence.n)} of ${numberText(evidence.nOf)}`],
    ['Can be told', evidence.reason === null ? 'yes' : `no: ${evidence.reason}`],
  ];
}

/** Returns the heading of one piece of evidence: which series were compared, and how. */
export function evidenceTitle({ method, ownName, againstName }: ClockEvidence): string {
  const names = ownName === againstName ? ownName : `${ownName} with ${againstName}`;
  return method === 'course' ? `The course of ${names}` : `Cuff measurements, ${names}`;
}
