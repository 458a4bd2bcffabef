import { memo, useEffect, useRef, type JSX, type KeyboardEvent, type UIEvent } from 'react';
import type { FilePreview, PreviewColumn } from '../../../core/model/file-preview.ts';
import { numberText } from '../../format/number-text.ts';
import { columnCertaintyText, columnText, isOpenColumn, type Shown } from './outcome-text.ts';
import type { RowModel, ShownRow } from './row-model.ts';

export interface RowTablesProps {
  readonly preview: FilePreview;
  readonly model: RowModel;
  readonly isStale: boolean;
  readonly chosen: string | null;
  /** The line that is brought into view when the rows come. */
  readonly atLine: number | null;
  readonly onChoose: (key: string) => void;
}

/** Returns the rows of the file as they stand and, beside them, what they become; both scroll up and down together. */
export function RowTables({ preview, model, isStale, chosen, atLine, onChoose }: RowTablesProps): JSX.Element {
  const leftRef = useRef<HTMLDivElement>(null);
  const rightRef = useRef<HTMLDivElement>(null);
  const follow = (other: HTMLDivElement | null) => (event: UIEvent<HTMLDivElement>): void => {
    if (other !== null && other.scrollTop !== event.currentTarget.scrollTop) other.scrollTop = event.currentTarget.scrollTop;
  };
  useEffect(() => {
    if (atLine !== null) leftRef.current?.querySelector(`[data-line="${atLine}"]`)?.scrollIntoView({ block: 'center', inline: 'nearest' });
  }, [atLine]);
  // Columns that were made of the figures in one cell stand on the right only.
  const columns = preview.columns.filter(({ index }) => index !== -1 && (preview.headings.length === 0 || index < preview.headings.length));
  const width = Math.max(columns.length, ...model.rows.map(({ row }) => row.cells.length));
  const chosenAt = columns.findIndex(({ key }) => key === chosen);
  const becomesAt = model.columns.findIndex(({ column }) => column.key === chosen);
  const hasLast = model.hasEntries || model.columns.length === 0;
  return (
    <>
      <section className="mapping-side" aria-labelledby="mapping-as-stands">
        <h2 id="mapping-as-stands" className="small-heading">The file as it stands</h2>
        <div className="mapping-scroll" ref={leftRef} tabIndex={0} role="group" aria-labelledby="mapping-as-stands" onScroll={(event) => follow(rightRef.current)(event)}>
          <table className="mapping-table">
            <thead>
              <tr>
                <th scope="col" className="align-right">Line</th>
                {columns.length === 0 ? <th scope="col">Text</th> : <ColumnHeads columns={columns} width={width} chosen={chosen} onChoose={onChoose} />}
              </tr>
            </thead>
            <tbody>{model.rows.map((shown) => <LeftRow key={shown.row.line} shown={shown} chosenAt={chosenAt} width={columns.length === 0 ? 0 : width} isWanted={shown.row.line === atLine} />)}</tbody>
          </table>
        </div>
      </section>
      <section className={`mapping-side${isStale ? ' mapping-stale' : ''}`} aria-labelledby="mapping-becomes">
        <h2 id="mapping-becomes" className="small-heading">What it becomes{isStale ? ' (being worked out…)' : ''}</h2>
        <div className="mapping-scroll" ref={rightRef} tabIndex={0} role="group" aria-labelledby="mapping-becomes" aria-busy={isStale} onScroll={(event) => follow(leftRef.current)(event)}>
          <table className="mapping-table">
            <thead>
              <tr>
                <th scope="col" className="align-right">Line</th>
                <th scope="col">{model.timeTitle}</th>
                {model.columns.map(({ column, title }) => <th key={column.index} scope="col" className={column.key === chosen ? 'mapping-chosen' : undefined}><span className="mapping-title" title={title}>{title}</span></th>)}
                {hasLast ? <th scope="col">{model.columns.length === 0 ? 'Becomes' : 'Also'}</th> : null}
              </tr>
            </thead>
            <tbody>{model.rows.map((shown) => <RightRow key={shown.row.line} shown={shown} chosenAt={becomesAt} hasLast={hasLast} isWanted={shown.row.line === atLine} />)}</tbody>
          </table>
        </div>
      </section>
    </>
  );
}

/** The headings are one stop for the Tab key; the arrow keys go from one to the next. */
function ColumnHeads({ columns, width, chosen, onChoose }: { readonly columns: readonly PreviewColumn[]; readonly width: number; readonly chosen: string | null; readonly onChoose: (key: string) => void }): JSX.Element {
  const stop = columns.find((column) => column.key === chosen) ?? columns[0];
  const onKeyDown = (event: KeyboardEvent<HTMLButtonElement>, at: number): void => {
    const next = event.key === 'ArrowRight' ? at + 1 : event.key === 'ArrowLeft' ? at - 1 : event.key === 'Home' ? 0 : event.key === 'End' ? columns.length - 1 : null;
    const column = next === null ? undefined : columns[next];
    if (column === undefined) return;
    event.preventDefault();
    onChoose(column.key);
    event.currentTarget.closest('tr')?.querySelectorAll<HTMLElement>('button')[next ?? 0]?.focus();
  };
  return (
    <>
      {columns.map((column, at) => (
        <th key={column.index} scope="col" className={column.key === chosen ? 'mapping-chosen' : undefined}>
          <button type="button" className="mapping-head" aria-pressed={column.key === chosen} tabIndex={column === stop ? 0 : -1} title={`${column.heading}: ${column.readAs}`} onClick={() => onChoose(column.key)} onKeyDown={(event) => onKeyDown(event, at)}>
            <span className="mapping-title">{column.heading}</span>
            <span className={`mapping-title mapping-role${isOpenColumn(column) ? ' mapping-unsure' : ''}`}>{headNote(column)}</span>
          </button>
        </th>
      ))}
      {Array.from({ length: Math.max(0, width - columns.length) }, (_, i) => <th key={`more ${i}`} scope="col"><span className="soft">no heading</span></th>)}
    </>
  );
}

function headNote(column: PreviewColumn): string {
  const certainty = columnCertaintyText(column);
  if (certainty === 'not known') return '? not known';
  return certainty === 'assumed' ? `? ${columnText(column)}` : columnText(column);
}

function rowClass({ row, isAfterGap }: ShownRow, isWanted: boolean): string {
  return [row.part === 'row' ? '' : 'mapping-part', isAfterGap ? 'mapping-gap' : '', isWanted ? 'mapping-wanted' : ''].filter((name) => name !== '').join(' ');
}

interface LeftRowProps {
  readonly shown: ShownRow;
  /** Place of the chosen column, -1 for none. */
  readonly chosenAt: number;
  /** Cells of every row; 0: the file has no columns. */
  readonly width: number;
  readonly isWanted: boolean;
}

/** The rows of a wide file are thousands of cells, and a change touches few: a row is drawn anew only where it shows something else. */
const LeftRow = memo(function LeftRow({ shown, chosenAt, width, isWanted }: LeftRowProps): JSX.Element {
  const { row } = shown;
  return (
    <tr className={rowClass(shown, isWanted)} data-line={row.line}>
      <th scope="row" className="align-right">{numberText(row.line)}</th>
      {width === 0 ? <td><span className="mapping-text">{row.cells.join(' ') || <span className="soft">an entry; this kind of file has no cells</span>}</span></td> : Array.from({ length: width }, (_, i) => {
        const cell = row.cells[i];
        return (
          <td key={i} className={i === chosenAt ? 'mapping-chosen' : undefined}>
            {cell === null ? <span className="soft">[not kept]</span> : <span className="mapping-text" title={cell !== undefined && cell.length > 24 ? cell : undefined}>{cell ?? ''}</span>}
          </td>
        );
      })}
    </tr>
  );
}, (a, b) => a.chosenAt === b.chosenAt && a.width === b.width && a.isWanted === b.isWanted && isSameFrame(a.shown, b.shown) && isSameList(a.shown.row.cells, b.shown.row.cells, Object.is));

function isSameFrame(a: ShownRow, b: ShownRow): boolean {
  return a.row.line === b.row.line && a.row.part === b.row.part && a.isAfterGap === b.isAfterGap;
}

function isSameList<T>(a: readonly T[], b: readonly T[], isSame: (one: T, other: T) => boolean): boolean {
  return a.length === b.length && a.every((one, i) => isSame(one, b[i] as T)); // both are as long
}

function isSameShown(a: Shown | null, b: Shown | null): boolean {
  return a === b || (a !== null && b !== null && a.text === b.text && a.tone === b.tone);
}

function ShownText({ shown }: { readonly shown: Shown }): JSX.Element {
  return <span className={`mapping-text tone-${shown.tone}`} title={shown.text.length > 24 ? shown.text : undefined}>{shown.text}</span>;
}

interface RightRowProps {
  readonly shown: ShownRow;
  readonly chosenAt: number;
  /** Whether a last column holds what belongs to no column of the file. */
  readonly hasLast: boolean;
  readonly isWanted: boolean;
}

const RightRow = memo(function RightRow({ shown, chosenAt, hasLast, isWanted }: RightRowProps): JSX.Element {
  const { row, entries, values } = shown;
  const isWhole = values.every((value) => value === null);
  const said = entries.map((entry, i) => <span key={i}>{i === 0 ? '' : '; '}<ShownText shown={entry} /></span>);
  return (
    <tr className={rowClass(shown, isWanted)}>
      <th scope="row" className="align-right">{numberText(row.line)}</th>
      <td><span className="mapping-text figure">{shown.time}</span></td>
      {isWhole ? <td colSpan={values.length + (hasLast ? 1 : 0)}>{said}</td> : (
        <>
          {values.map((value, i) => <td key={i} className={i === chosenAt ? 'mapping-chosen' : undefined}>{value === null ? null : <ShownText shown={value} />}</td>)}
          {hasLast ? <td className="mapping-also">{said}</td> : null}
        </>
      )}
    </tr>
  );
}, (a, b) =>
  a.chosenAt === b.chosenAt && a.hasLast === b.hasLast && a.isWanted === b.isWanted && isSameFrame(a.shown, b.shown) && a.shown.time === b.shown.time &&
  isSameList(a.shown.values, b.shown.values, isSameShown) && isSameList(a.shown.entries, b.shown.entries, isSameShown));
