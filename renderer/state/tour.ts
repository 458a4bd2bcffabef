import { z } from 'zod';
import type { PreferenceStore } from './preferences.ts';

/** How far a person on this computer is with the steps of learning by doing. */
export const tourSchema = z.object({
  /** `new`: never begun; `later`: offered and not wanted now; `left`: begun, to be gone on with. */
  state: z.enum(['new', 'later', 'running', 'left', 'done']).catch('new'),
  /** The step that is next; '' before the first. */
  stepId: z.string().max(40).catch(''),
});

export type Tour = z.infer<typeof tourSchema>;

export const NEW_TOUR: Tour = { state: 'new', stepId: '' };

/** Begins the steps, or goes on where they were left; `fromStart`: from the first one whatever was done. */
export function beginTour(preferences: PreferenceStore, fromStart: boolean): void {
  const { tour } = preferences.get();
  preferences.change({ tour: { state: 'running', stepId: fromStart || tour.state === 'done' ? '' : tour.stepId } });
}

/** Goes to a step; null: there is no more. */
export function goToStep(preferences: PreferenceStore, stepId: string | null): void {
  preferences.change({ tour: stepId === null ? { state: 'done', stepId: '' } : { state: 'running', stepId } });
}

/** Leaves the steps where they are. */
export function leaveTour(preferences: PreferenceStore): void {
  preferences.change({ tour: { ...preferences.get().tour, state: 'left' } });
}
