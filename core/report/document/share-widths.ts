/** How wide a column has to be, and how wide it wants to be, in one unit. */
export interface WishedWidth {
  /** Its longest word. */
  readonly least: number;
  /** Its longest cell on one line; not less than `least`. */
  readonly full: number;
}

/**
 * Returns the widths of columns that share a width: each as wide as it wants where there is room, and not stretched beyond `mostStretch`; else what
 * lies over the least is given out level by level, so that narrow columns stay on one line and only the wide ones wrap.
 * Shape   one width for each column, never more than `width` in all. Where not even the least fits, the widest give way: a word that is too long
 *         for the page (a name without spaces) is broken, and the columns beside it are not.
 */
export function shareWidths(wished: readonly WishedWidth[], width: number, mostStretch: (share: number) => number): number[] {
  const full = wished.reduce((sum, one) => sum + one.full, 0);
  if (full <= width) return wished.map((one) => one.full * Math.min(width / full, mostStretch(full / width)));
  const least = wished.reduce((sum, one) => sum + one.least, 0);
  // What every column has before the rest is given out, and what it may grow to.
  const limits = least >= width ? wished.map((one) => ({ from: 0, to: one.least })) : wished.map((one) => ({ from: one.least, to: one.full }));
  let room = least >= width ? width : width - least;
  const widths = limits.map(({ from }) => from);
  let open = wished.map((_, i) => i);
  while (room > 0.01 && open.length > 0) {
    const share = room / open.length;
    for (const i of open) {
      const more = Math.min(share, (limits[i]?.to ?? 0) - (widths[i] ?? 0));
      widths[i] = (widths[i] ?? 0) + more;
      room -= more;
    }
    open = open.filter((i) => (limits[i]?.to ?? 0) - (widths[i] ?? 0) > 0.01);
  }
  return widths;
}
