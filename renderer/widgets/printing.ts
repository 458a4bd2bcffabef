import { useSyncExternalStore } from 'react';

/**
 * Width on paper in CSS px, of the window and of every picture that draws itself for a width. A sheet of A4 or Letter lying down shows
 * it in its own size; one that stands up is made to fit by the browser, which makes all of it smaller alike.
 */
export const PRINT_WIDTH_PX = 940;

/** Height of a timeline on paper in CSS px, where its lanes need no more: with the sums of two sensors above it, it fits a sheet lying down. */
export const PRINT_TIMELINE_PX = 420;

/** Returns whether the window is being printed. */
export function isPrinting(): boolean {
  return document.documentElement.dataset['printing'] !== undefined;
}

/**
 * Tells of the beginning and the end of printing: paper is light and has its own width whatever the screen is, and what paints itself
 * has to know before the sheet is taken. What has the focus is asked now: when the dialog of the system is open, nothing has it.
 */
export function followPrinting(listener: () => void): () => void {
  const begin = (): void => {
    const isHelp = (document.activeElement?.closest('.help-panel') ?? null) !== null;
    document.documentElement.dataset['printing'] = isHelp ? 'help' : 'window';
    listener();
  };
  const end = (): void => {
    delete document.documentElement.dataset['printing'];
    listener();
  };
  window.addEventListener('beforeprint', begin);
  window.addEventListener('afterprint', end);
  return () => {
    window.removeEventListener('beforeprint', begin);
    window.removeEventListener('afterprint', end);
  };
}

/** Returns whether the window is being printed, following it. */
export function useIsPrinting(): boolean {
  return useSyncExternalStore(followPrinting, isPrinting);
}
