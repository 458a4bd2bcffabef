import type { FilePreview } from '../../../core/model/file-preview.ts';
import type { ReadingRules } from '../../../core/model/mapping.ts';

/** What every part of the screen that says something is given. */
export interface TrialProps {
  readonly rules: ReadingRules;
  readonly preview: FilePreview;
  /** `step`: changes of the same name in a row are undone as one. */
  readonly onChange: (rules: ReadingRules, step?: string) => void;
}
