import type { Spill } from './spill.ts';

/*
 * Columns that grow while a file is read. Blocks are kept apart until the end, so growing never holds two copies
 * of everything; blocks start small so that a file of a thousand short cases does not reserve memory it never fills.
 * With a spill, what was pushed may leave memory at any time; `take` brings it back.
 */

const FIRST_BLOCK = 256;
const LARGEST_BLOCK = 65_536;

/** Returns the size of the block that follows one of `size` entries. */
function nextSize(size: number): number {
  return Math.min(LARGEST_BLOCK, Math.max(FIRST_BLOCK, size * 2));
}

type Block = Float64Array | Uint32Array | Uint8Array;

/** A column's blocks, those in memory and those that were put away, in the order in which they were pushed. */
abstract class Growable<B extends Block> {
  protected block: B;
  protected used = 0;
  private full: B[] = [];
  /** Entries in full blocks, in memory or away. */
  private before = 0;
  /** Of what was put away: place and number of entries, in turn. */
  private away: number[] = [];

  constructor(
    private readonly spill: Spill | null,
    private readonly make: (length: number) => B,
  ) {
    this.block = make(0);
    spill?.watch(this);
  }

  get length(): number {
    return this.before + this.used;
  }

  /** Makes room for one more entry. */
  protected grow(): void {
    const size = nextSize(this.block.length);
    if (this.block.length > 0) {
      this.full.push(this.block);
      this.before += this.used;
      this.block = this.make(0);
      this.used = 0;
    }
    this.spill?.hold(size * this.block.BYTES_PER_ELEMENT); // may put this column away
    this.block = this.make(size);
  }

  /** Puts everything pushed so far away. */
  putAway(spill: Spill): void {
    for (const block of this.full) this.away.push(spill.append(bytesOf(block, block.length)), block.length);
    if (this.used > 0) this.away.push(spill.append(bytesOf(this.block, this.used)), this.used);
    this.before += this.used;
    this.full = [];
    this.block = this.make(0);
    this.used = 0;
  }

  /** Returns everything pushed in one array and lets the blocks go; the column is empty afterwards. */
  take(): B {
    const out = this.make(this.length);
    let at = 0;
    for (let i = 0; i < this.away.length; i += 2) {
      const count = this.away[i + 1] ?? 0;
      this.spill?.read(this.away[i] ?? 0, new Uint8Array(out.buffer, at * out.BYTES_PER_ELEMENT, count * out.BYTES_PER_ELEMENT));
      at += count;
    }
    for (const block of this.full) {
      out.set(block, at);
      at += block.length;
    }
    out.set(this.block.subarray(0, this.used), at);
    this.full = [];
    this.away = [];
    this.block = this.make(0);
    this.used = 0;
    this.before = 0;
    return out;
  }
}

function bytesOf(block: Block, length: number): Uint8Array {
  return new Uint8Array(block.buffer, block.byteOffset, length * block.BYTES_PER_ELEMENT);
}

export class GrowableFloat64 extends Growable<Float64Array> {
  constructor(spill: Spill | null = null) {
    super(spill, (length) => new Float64Array(length));
  }

  push(value: number): void {
    if (this.used === this.block.length) this.grow();
    this.block[this.used] = value;
    this.used += 1;
  }
}

export class GrowableUint32 extends Growable<Uint32Array> {
  constructor(spill: Spill | null = null) {
    super(spill, (length) => new Uint32Array(length));
  }

  push(value: number): void {
    if (this.used === this.block.length) this.grow();
    this.block[this.used] = value;
    this.used += 1;
  }
}

export class GrowableUint8 extends Growable<Uint8Array> {
  constructor(spill: Spill | null = null) {
    super(spill, (length) => new Uint8Array(length));
  }

  push(value: number): void {
    if (this.used === this.block.length) this.grow();
    this.block[this.used] = value;
    this.used += 1;
  }
}
