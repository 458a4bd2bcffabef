import { Fragment, useRef, useState, type JSX, type KeyboardEvent, type ReactNode } from 'react';

export interface GridSort {
  readonly columnId: string;
  readonly direction: 'ascending' | 'descending';
}

export interface GridColumn<Row> {
  readonly id: string;
  readonly header: ReactNode;
  /** Read out and shown on hovering where the header is short. */
  readonly headerTitle?: string | undefined;
  /** A control after the heading that explains it; no part of the heading's name. */
  readonly help?: ReactNode;
  readonly align?: 'left' | 'right' | undefined;
  /** As CSS takes it. With widths a table of many rows is laid out without measuring every cell; a column without one takes the rest. */
  readonly width?: string | undefined;
  readonly isSortable?: boolean | undefined;
  readonly cell: (row: Row) => ReactNode;
}

export interface DataGridProps<Row> {
  readonly label: string;
  readonly columns: readonly GridColumn<Row>[];
  readonly rows: readonly Row[];
  readonly rowKey: (row: Row) => string;
  readonly rowLabel?: ((row: Row) => string) | undefined;
  readonly sort?: GridSort | undefined;
  readonly onSort?: ((sort: GridSort) => void) | undefined;
  readonly selectedKey?: string | null | undefined;
  /** Called when a row is chosen by pointer, and on every move when `selectOnMove`. */
  readonly onSelect?: ((row: Row) => void) | undefined;
  readonly selectOnMove?: boolean | undefined;
  /** Space on a row: takes it into a choice of many, or out of it. */
  readonly onToggle?: ((row: Row) => void) | undefined;
  /** Enter or a double click. */
  readonly onActivate?: ((row: Row) => void) | undefined;
  /** A second line under a row, or null. */
  readonly below?: ((row: Row, isSelected: boolean) => ReactNode) | undefined;
}

/**
 * Returns a table whose rows are walked with the arrow keys, Home and End; one stop for the Tab key.
 * Enter opens the row; headers of sortable columns are buttons, and `aria-sort` tells the state.
 */
export function DataGrid<Row>(props: DataGridProps<Row>): JSX.Element {
  const { label, columns, rows, rowKey, rowLabel, sort, onSort, selectedKey = null, onSelect, onActivate, below } = props;
  const ref = useRef<HTMLTableElement>(null);
  const [focusedKey, setFocusedKey] = useState<string | null>(null);
  const keys = rows.map(rowKey);
  const stopKey = focusedKey !== null && keys.includes(focusedKey) ? focusedKey : selectedKey !== null && keys.includes(selectedKey) ? selectedKey : keys[0];

  const focusRow = (index: number): void => {
    const row = rows[index];
    if (row === undefined) return;
    const key = rowKey(row);
    setFocusedKey(key);
    ref.current?.querySelectorAll<HTMLElement>('tr[data-row]')[index]?.focus();
    if (props.selectOnMove === true) onSelect?.(row);
  };

  const onRowKey = (event: KeyboardEvent<HTMLTableRowElement>, row: Row, index: number): void => {
    if (event.target !== event.currentTarget) return;
    if (event.key === 'ArrowDown') focusRow(index + 1);
    else if (event.key === 'ArrowUp') focusRow(index - 1);
    else if (event.key === 'Home') focusRow(0);
    else if (event.key === 'End') focusRow(rows.length - 1);
    else if (event.key === 'Enter' && onActivate !== undefined) onActivate(row);
    else if (event.key === ' ' && props.onToggle !== undefined) props.onToggle(row);
    else if ((event.key === ' ' || event.key === 'Enter') && onSelect !== undefined) onSelect(row);
    else return;
    event.preventDefault();
    event.stopPropagation();
  };

  return (
    <table className={columns.some((column) => column.width !== undefined) ? 'grid grid-fixed' : 'grid'} role="grid" aria-label={label} aria-rowcount={rows.length + 1} ref={ref}>
      {columns.some((column) => column.width !== undefined) ? <colgroup>{columns.map((column) => <col key={column.id} style={{ width: column.width }} />)}</colgroup> : null}
      <thead>
        <tr>
          {columns.map((column) => (
            <th
              key={column.id} scope="col" className={column.align === 'right' ? 'align-right' : undefined} title={column.headerTitle}
              aria-label={column.help !== undefined && typeof column.header === 'string' ? column.header : undefined}
              aria-sort={column.isSortable === true ? (sort?.columnId === column.id ? sort.direction : 'none') : undefined}
            >
              {column.isSortable === true && onSort !== undefined ? (
                <button type="button" className="sort-button" onClick={() => onSort(nextSort(sort, column.id))}>
                  {column.header}
                  <span className="sort-sign" aria-hidden="true">{sort?.columnId === column.id ? (sort.direction === 'ascending' ? '▲' : '▼') : '▽'}</span>
                </button>
              ) : column.header}
              {column.help}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {rows.map((row, index) => {
          const key = rowKey(row);
          const isSelected = key === selectedKey;
          const second = below?.(row, isSelected) ?? null;
          return (
            <Fragment key={key}>
              <tr
                data-row={key} tabIndex={key === stopKey ? 0 : -1} aria-selected={isSelected} aria-label={rowLabel?.(row)}
                className={`grid-row${isSelected ? ' grid-row-selected' : ''}${second === null ? '' : ' grid-row-with-second'}`}
                onKeyDown={(event) => onRowKey(event, row, index)}
                onFocus={() => setFocusedKey(key)}
                onClick={(event) => {
                  if (event.target instanceof Element && event.target.closest('button, a, input, select') !== null) return;
                  onSelect?.(row);
                }}
                onDoubleClick={() => onActivate?.(row)}
              >
                {columns.map((column) => <td key={column.id} className={column.align === 'right' ? 'align-right' : undefined}>{column.cell(row)}</td>)}
              </tr>
              {second === null ? null : (
                <tr className={`grid-second${isSelected ? ' grid-row-selected' : ''}`} onClick={() => onSelect?.(row)}>
                  <td colSpan={columns.length}>{second}</td>
                </tr>
              )}
            </Fragment>
          );
        })}
      </tbody>
    </table>
  );
}

/** Returns the sorting after a click on a header: descending first, since the large losses are looked for; a second click turns it. */
export function nextSort(sort: GridSort | undefined, columnId: string): GridSort {
  if (sort?.columnId !== columnId) return { columnId, direction: 'descending' };
  return { columnId, direction: sort.direction === 'descending' ? 'ascending' : 'descending' };
}
