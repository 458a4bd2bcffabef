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
 * Shape   one width for each column, never more than `width` in all. Where not even the least fits, all are narrowed alike.
 */
export function shareWidths(wished: readonly WishedWidth[], width: number, mostStretch: (share: number) => number): number[] {
  const full = wished.reduce((sum, one) => sum + one.full, 0);
  if (full <= width) return wished.map((one) => one.full * Math.min(width / full, mostStretch(full / width)));
  const least = wished.reduce((sum, one) => sum + one.least, 0);
  if (least >= width) return wished.map((one) => (one.least * width) / least);
  let room = width - least;
  const widths = wished.map((one) => one.least);
  let open = wished.map((_, i) => i);
  while (room > 0.01 && open.length > 0) {
    const share = room / open.length;
    for (const i of open) {
      const more = Math.min(share, (wished[i]?.full ?? 0) - (widths[i] ?? 0));
      widths[i] = (widths[i] ?? 0) + more;
      room -= more;
    }
    open = open.filter((i) => (wished[i]?.full ?? 0) - (widths[i] ?? 0) > 0.01);
  }
  return widths;
}
