import type { PartChannel } from '../model/case-part.ts';
import type { CaseEvent } from '../model/event.ts';
import type { SourceFile } from '../model/case.ts';

/** One source of a case as its clock is compared: what it recorded, with what brings its times to case time at present. */
export interface ClockSource {
  readonly sourceIndex: number;
  readonly file: Pick<SourceFile, 'name' | 'kind' | 'clockOffsetMs'>;
  readonly channels: readonly PartChannel[];
  /** Added to the times of the channels; the present clock offset is in it. */
  readonly shiftMs: number;
  /** In case time. */
  readonly events: readonly CaseEvent[];
}
