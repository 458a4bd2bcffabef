import { isFigureId, type FigureId } from './figure-register.ts';

const HELP = 'button.figure-help[data-figure]';
/** What is one stop for the Tab key. */
const GROUP = '[data-figures], thead, dl, tbody';

/** Returns the part of the page whose controls are one stop, or null. */
export function helpGroupOf(element: Element): HTMLElement | null {
  return element.closest<HTMLElement>(GROUP);
}

/** Returns the controls of a group, in the order of the page, without those of groups inside it. */
export function helpsIn(group: HTMLElement): HTMLButtonElement[] {
  return [...group.querySelectorAll<HTMLButtonElement>(HELP)].filter((control) => helpGroupOf(control) === group);
}

/** Returns the figure of a control; null for one that is none. */
function figureOf(control: HTMLElement | null | undefined): FigureId | null {
  const name = control?.dataset['figure'];
  return name !== undefined && isFigureId(name) ? name : null;
}

/** Returns the figures of the group of a control, each once. */
export function siblingsOf(control: HTMLElement): FigureId[] {
  const group = helpGroupOf(control);
  const controls = group === null ? [control] : helpsIn(group);
  return [...new Set(controls.flatMap((one) => figureOf(one) ?? []))];
}

/** A figure that a place of the page belongs to. */
export interface FigurePlace {
  readonly figure: FigureId;
  readonly among: readonly FigureId[];
}

/**
 * Returns the figure that `element` belongs to: its own heading or term, that of the column or row that its cell stands in, the first
 * of its table, or that of the picture or group around it. null where no figure is near.
 */
export function figureAt(element: Element): FigurePlace | null {
  const control = controlAt(element);
  const figure = figureOf(control);
  return control === null || figure === null ? null : { figure, among: siblingsOf(control) };
}

function controlAt(element: Element): HTMLElement | null {
  const own = element.closest<HTMLElement>(HELP);
  if (own !== null) return own;
  const term = element.closest('dt, dd');
  if (term !== null) {
    const inTerm = (term.matches('dt') ? term : term.parentElement?.querySelector('dt'))?.querySelector<HTMLElement>(HELP);
    if (inTerm !== null && inTerm !== undefined) return inTerm;
  }
  const cell = element.closest<HTMLTableCellElement>('th, td');
  const table = element.closest('table');
  if (cell !== null) {
    const found = cell.querySelector<HTMLElement>(`:scope > ${HELP}`) ?? headOf(cell, table) ?? cell.parentElement?.querySelector<HTMLElement>(`:scope > th > ${HELP}`);
    if (found !== null && found !== undefined) return found;
  }
  return table?.querySelector<HTMLElement>(HELP) ?? element.closest('figure, [data-figures]')?.querySelector<HTMLElement>(HELP) ?? null;
}

/** Returns the control in the heading above a cell, by the columns that the cells before both take. */
function headOf(cell: HTMLTableCellElement, table: HTMLTableElement | null): HTMLElement | null {
  const heads = table?.tHead?.rows[0]?.cells;
  if (heads === undefined || cell.closest('thead') !== null) return null;
  const column = [...(cell.parentElement?.children ?? [])].slice(0, [...(cell.parentElement?.children ?? [])].indexOf(cell)).reduce((sum, before) => sum + (before instanceof HTMLTableCellElement ? before.colSpan : 1), 0);
  let end = 0;
  for (const head of heads) {
    end += head.colSpan;
    if (column < end) return head.querySelector<HTMLElement>(HELP);
  }
  return null;
}
