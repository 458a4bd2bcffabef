import { useCallback, useId, useLayoutEffect, useRef, useState, type JSX, type KeyboardEvent, type ReactNode } from 'react';
import { FigureHelp } from '../help/figure-help.tsx';
import type { FigureId } from '../help/figure-register.ts';
import { PRINT_WIDTH_PX, useIsPrinting } from '../widgets/printing.ts';
import { Button } from '../widgets/button.tsx';
import { Disclosure } from '../widgets/disclosure.tsx';
import { drawnScale } from '../widgets/drawn-scale.ts';
import { chartCsv } from './chart-csv.ts';
import type { ChartPoint, ChartTable, DrawChart } from './chart-types.ts';
import { exportPicture, svgText } from './export-picture.ts';
import { pngOf } from './paint-picture.ts';
import { drawPicture, POINT_ATTRIBUTE } from './plot-svg.ts';
import { saveFile } from './save-file.ts';
import './charts.css';
import { MoreRows } from '../widgets/more-rows.tsx';

export interface ChartFigureProps {
  readonly title: string;
  /** What the picture and its numbers show: its page says how all of them are worked out. */
  readonly figure: FigureId;
  /** What the picture shows and how it is to be read, in a sentence or two. */
  readonly description: string;
  /** What its table shows beyond the picture: said only where the table can be opened, in the window. */
  readonly tableHolds?: string | undefined;
  /** Definition and cautions: beneath the picture and in its files. */
  readonly notes: readonly string[];
  /** Names of intervals, tests, what was left out: to be opened beneath the picture, and in its files. */
  readonly details?: readonly string[] | undefined;
  /** Without ending; must hold nothing of a patient. */
  readonly fileName: string;
  /** Keep it the same object while nothing changed, or the picture is drawn anew. */
  readonly draw: DrawChart;
  readonly table: ChartTable;
  /** What a press on a point does, as the end of a sentence: "lists its cases". */
  readonly pointLeadsTo?: string | undefined;
  readonly onPoint?: ((key: string) => void) | undefined;
  /** Stands in place of picture and table where there is nothing to draw. */
  readonly nothing?: ReactNode;
}

const NARROWEST_PX = 420;
const PNG_SCALE = 2;
/** A cell of more is a sentence and gets the width to be read in; beside many figures it would stand one word beneath the other. */
const SENTENCE_CHARACTERS = 40;

/** Rows of a table that are shown at once; the file has all. */
const ROWS_SHOWN = 200;

/**
 * Returns a picture with its title, its notes, its numbers as a table in its place on request, and its files.
 * Keyboard: one stop for the Tab key; arrows, Home and End walk the points, Enter or Space presses.
 */
export function ChartFigure(props: ChartFigureProps): JSX.Element {
  const { title, description, tableHolds, notes, details = [], draw, table, nothing } = props;
  const [isTable, setIsTable] = useState(false);
  const [failure, setFailure] = useState<string | null>(null);
  const id = useId();
  const words = { title, description, notes: [...notes, ...details] };
  const save = async (ending: string, make: () => Blob | Promise<Blob>): Promise<void> => {
    try {
      saveFile(`${props.fileName}.${ending}`, await make());
      setFailure(null);
    } catch (error) {
      setFailure(error instanceof Error ? error.message : 'The file could not be made.');
    }
  };
  return (
    <figure className="chart" data-figures aria-labelledby={`${id}-title`} aria-describedby={`${id}-about`}>
      <figcaption>
        <span className="chart-title"><span id={`${id}-title`}>{title}</span><FigureHelp figure={props.figure} /></span>
        <span id={`${id}-about`} className="chart-about">{description}{tableHolds === undefined ? null : <span className="only-screen"> {tableHolds}</span>}</span>
      </figcaption>
      {nothing === undefined ? (
        <>
          {isTable ? <NumberTable title={title} table={table} pointLeadsTo={props.pointLeadsTo} onPoint={props.onPoint} /> : <Picture draw={draw} title={title} pointLeadsTo={props.pointLeadsTo} onPoint={props.onPoint} />}
          <div className="chart-notes">
            {notes.map((note) => <p key={note}>{note}</p>)}
            {details.length === 0 ? null : <Disclosure summary="Intervals, tests and what to know">{details.map((detail) => <p key={detail}>{detail}</p>)}</Disclosure>}
          </div>
          <div className="chart-tools" role="group" aria-label={`Table and files of: ${title}`}>
            <Button look="quiet" aria-pressed={isTable} onClick={() => setIsTable(!isTable)}>{isTable ? 'Show the picture' : 'Show as a table'}</Button>
            <Button look="quiet" onClick={() => void save('svg', () => new Blob([svgText(exportPicture(draw, words))], { type: 'image/svg+xml' }))}>Save as SVG</Button>
            <Button look="quiet" onClick={() => void save('png', () => pngOf(exportPicture(draw, words), PNG_SCALE))}>Save as PNG</Button>
            <Button look="quiet" onClick={() => void save('csv', () => new Blob([chartCsv(table)], { type: 'text/csv' }))}>Save numbers as CSV</Button>
          </div>
          {failure === null ? null : <p className="problem-line" role="alert">{failure}</p>}
        </>
      ) : <div className="chart-nothing">{nothing}</div>}
    </figure>
  );
}

interface PictureProps {
  readonly draw: DrawChart;
  readonly title: string;
  readonly pointLeadsTo: string | undefined;
  readonly onPoint: ((key: string) => void) | undefined;
}

function Picture({ draw, title, pointLeadsTo, onPoint }: PictureProps): JSX.Element {
  const placeRef = useRef<HTMLDivElement>(null);
  const pointsRef = useRef<readonly ChartPoint[]>([]);
  const [screenWidth, setWidth] = useState(0);
  const width = useIsPrinting() ? PRINT_WIDTH_PX : screenWidth;
  const [shown, setShown] = useState<string | null>(null);

  useLayoutEffect(() => {
    const place = placeRef.current;
    if (place === null) return undefined;
    const measure = (): void => setWidth(Math.max(NARROWEST_PX, Math.floor(place.getBoundingClientRect().width / drawnScale(place))));
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(place);
    return () => observer.disconnect();
  }, []);

  useLayoutEffect(() => {
    const place = placeRef.current;
    if (place === null || width === 0) return;
    const focused = pointsRef.current[indexOf(document.activeElement, place)]?.key;
    const drawing = draw(width);
    pointsRef.current = drawing.points;
    place.replaceChildren(drawPicture(drawing, title));
    // Who stood on a point still stands on it when the picture is drawn anew.
    const again = focused === undefined ? -1 : drawing.points.findIndex((point) => point.key === focused);
    if (again >= 0) focusPoint(place, again);
  }, [draw, title, width]);

  const press = useCallback((target: EventTarget | null): void => {
    const place = placeRef.current;
    const point = place === null ? undefined : pointsRef.current[indexOf(target, place)];
    if (point !== undefined) onPoint?.(point.key);
  }, [onPoint]);

  const show = (target: EventTarget | null): void => {
    const place = placeRef.current;
    const point = place === null ? undefined : pointsRef.current[indexOf(target, place)];
    setShown(point?.label ?? null);
  };

  const onKeyDown = (event: KeyboardEvent): void => {
    const place = placeRef.current;
    if (place === null) return;
    const index = indexOf(event.target, place);
    if (index < 0) return;
    const last = pointsRef.current.length - 1;
    if (event.key === 'ArrowRight' || event.key === 'ArrowDown') focusPoint(place, Math.min(last, index + 1));
    else if (event.key === 'ArrowLeft' || event.key === 'ArrowUp') focusPoint(place, Math.max(0, index - 1));
    else if (event.key === 'Home') focusPoint(place, 0);
    else if (event.key === 'End') focusPoint(place, last);
    else if (event.key === 'Enter' || event.key === ' ') press(event.target);
    else return;
    event.preventDefault();
    event.stopPropagation();
  };

  return (
    <>
      <div
        ref={placeRef} className="chart-place"
        onKeyDown={onKeyDown} onClick={(event) => press(event.target)}
        onFocus={(event) => show(event.target)} onBlur={() => setShown(null)}
        onPointerOver={(event) => show(event.target)} onPointerLeave={() => setShown(null)}
      />
      <p className="chart-readout" aria-hidden="true">
        {shown === null
          ? <span className="soft">{pointLeadsTo === undefined ? 'Point at a mark, or walk the marks with the arrow keys, to read it.' : `Point at a mark, or walk the marks with the arrow keys, to read it. Enter or a click ${pointLeadsTo}.`}</span>
          : shown}
      </p>
    </>
  );
}

/** Returns which point an element is, or -1. */
function indexOf(target: EventTarget | null, place: HTMLElement): number {
  if (!(target instanceof Element) || !place.contains(target)) return -1;
  const mark = target.closest(`[${POINT_ATTRIBUTE}]`);
  return mark === null ? -1 : Number(mark.getAttribute(POINT_ATTRIBUTE));
}

function focusPoint(place: HTMLElement, index: number): void {
  for (const mark of place.querySelectorAll<SVGElement>(`[${POINT_ATTRIBUTE}]`)) {
    const isIt = mark.getAttribute(POINT_ATTRIBUTE) === String(index);
    mark.setAttribute('tabindex', isIt ? '0' : '-1');
    if (isIt) mark.focus();
  }
}

interface NumberTableProps {
  readonly title: string;
  readonly table: ChartTable;
  readonly pointLeadsTo: string | undefined;
  readonly onPoint: ((key: string) => void) | undefined;
}

function NumberTable({ title, table, pointLeadsTo, onPoint }: NumberTableProps): JSX.Element {
  const [shown, setShown] = useState(ROWS_SHOWN);
  const shownColumns = table.columns.filter((column) => column.isOnlyInFile !== true);
  const hasLinks = onPoint !== undefined && table.rows.some((row) => row.pointKey !== null);
  return (
    <>
      <div className="grid-scroll chart-table" tabIndex={0} role="region" aria-label={`Numbers of: ${title}`}>
        <table className="plain-table">
          <caption className="visually-hidden">{title}</caption>
          <thead><tr>{shownColumns.map((column) => <th key={column.name} scope="col" className={column.align === 'right' ? 'align-right' : undefined}>{column.header}</th>)}</tr></thead>
          <tbody>
            {table.rows.slice(0, shown).map((row, i) => (
              <tr key={row.pointKey ?? i}>
                {row.cells.map((cell, j) => {
                  const column = table.columns[j];
                  if (column?.isOnlyInFile === true) return null;
                  const text = j === 0 && hasLinks && row.pointKey !== null
                    ? <Button look="link" aria-label={pointLeadsTo === undefined ? cell.text : `${cell.text}: ${pointLeadsTo}`} onClick={() => onPoint(row.pointKey ?? '')}>{cell.text}</Button>
                    : cell.text;
                  const words = cell.text.length > SENTENCE_CHARACTERS ? 'chart-words' : undefined;
                  return j === 0 ? <th key={column?.name ?? j} scope="row" className={words}>{text}</th> : <td key={column?.name ?? j} className={column?.align === 'right' ? 'align-right figure' : words}>{text}</td>;
                })}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <MoreRows missing={table.rows.length - shown} onMore={() => setShown(shown + ROWS_SHOWN)} look="quiet">Show more ({table.rows.length - shown} further rows)</MoreRows>
    </>
  );
}
