import type { PlotOptions } from '@observablehq/plot';
import type { Cell } from '../../core/report/csv.ts';

export type MarkShape = 'circle' | 'square' | 'triangle' | 'triangle-down' | 'diamond' | 'cross' | 'hexagon';

/** How one series is drawn. Colour never stands alone: shape and dash tell the same series apart. */
export interface SeriesLook {
  /** As CSS takes it; a variable of the theme, so that a change of theme needs no new drawing. */
  readonly color: string;
  /** Pixels on, off, …; empty for a whole line. */
  readonly dashPx: readonly number[];
  readonly shape: MarkShape;
}

/** One place of a picture that can be pressed: what it leads to, and what is read out and shown for it. */
export interface ChartPoint {
  readonly key: string;
  readonly label: string;
}

/** A picture, ready for the library that draws it. */
export interface ChartDrawing {
  readonly options: PlotOptions;
  /** In the order of the marks of the layer that takes presses. */
  readonly points: readonly ChartPoint[];
}

/** Draws for a width in px. */
export type DrawChart = (widthPx: number) => ChartDrawing;

/** One column of the table that stands behind a picture and of the file of its numbers. */
export interface ChartColumn {
  readonly header: string;
  /** Name of the column in the file: lower case, its unit at the end. */
  readonly name: string;
  readonly align?: 'left' | 'right' | undefined;
  /** It says again what another column says, for who reads the file alone. */
  readonly isOnlyInFile?: boolean | undefined;
}

/** A cell of such a table: the number as the file has it, and as it is read. */
export interface ChartCell {
  readonly value: Cell;
  readonly text: string;
}

export interface ChartRow {
  readonly cells: readonly ChartCell[];
  /** The point of the picture it belongs to; null where it leads nowhere. */
  readonly pointKey: string | null;
}

/** All numbers of a picture. */
export interface ChartTable {
  readonly columns: readonly ChartColumn[];
  readonly rows: readonly ChartRow[];
}

/** Returns the cell of a text. */
export function textCell(text: string): ChartCell {
  return { value: text, text };
}

/** Returns the cell of a number, read as `textOf` writes it; a missing one is an empty cell and reads '–'. */
export function numberCell(value: number | null, textOf: (value: number) => string): ChartCell {
  return value === null ? { value: null, text: '–' } : { value, text: textOf(value) };
}
