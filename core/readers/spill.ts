import type { Scratch, Shelf } from './shelf.ts';

/** A column whose entries can be put away. */
interface Spillable {
  putAway(spill: Spill): void;
}

/** Keeps the growing columns of one file within a number of bytes: when they would pass it, all that they hold is put away. */
export class Spill implements Scratch {
  private readonly columns: Spillable[] = [];
  private held = 0;

  constructor(
    private readonly scratch: Scratch,
    private readonly heldBytes: number,
  ) {}

  /** Returns the spill of a shelf, null where there is none: everything stays in memory. */
  static of(shelf: Shelf | undefined): Spill | null {
    return shelf === undefined ? null : new Spill(shelf.scratch, shelf.heldBytes);
  }

  /** Takes a column under its watch, for as long as the spill lives. */
  watch(column: Spillable): void {
    this.columns.push(column);
  }

  /** Says that so many bytes more are about to be held. */
  hold(bytes: number): void {
    if (this.held + bytes > this.heldBytes) {
      for (const column of this.columns) column.putAway(this);
      this.held = 0;
    }
    this.held += bytes;
  }

  append(bytes: Uint8Array): number {
    return this.scratch.append(bytes);
  }

  read(at: number, into: Uint8Array): void {
    this.scratch.read(at, into);
  }
}
