/*
 * Columns that grow while a file is read. Blocks are kept apart until the end, so growing never holds two copies
 * of everything; blocks start small so that a file of a thousand short cases does not reserve memory it never fills.
 */

const FIRST_BLOCK = 256;
const LARGEST_BLOCK = 65_536;

/** Returns the size of the block that follows one of `size` entries. */
function nextSize(size: number): number {
  return Math.min(LARGEST_BLOCK, size * 2);
}

export class GrowableFloat64 {
  private full: Float64Array[] = [];
  private block = new Float64Array(FIRST_BLOCK);
  private used = 0;
  private before = 0;

  get length(): number {
    return this.before + this.used;
  }

  push(value: number): void {
    if (this.used === this.block.length) {
      this.full.push(this.block);
      this.before += this.used;
      this.block = new Float64Array(nextSize(this.block.length));
      this.used = 0;
    }
    this.block[this.used] = value;
    this.used += 1;
  }

  /** Returns everything pushed in one array and lets the blocks go; the column is empty afterwards. */
  take(): Float64Array {
    const out = new Float64Array(this.length);
    let at = 0;
    for (const block of this.full) {
      out.set(block, at);
      at += block.length;
    }
    out.set(this.block.subarray(0, this.used), at);
    this.full = [];
    this.block = new Float64Array(0);
    this.used = 0;
    this.before = 0;
    return out;
  }
}

export class GrowableUint32 {
  private full: Uint32Array[] = [];
  private block = new Uint32Array(FIRST_BLOCK);
  private used = 0;
  private before = 0;

  get length(): number {
    return this.before + this.used;
  }

  push(value: number): void {
    if (this.used === this.block.length) {
      this.full.push(this.block);
      this.before += this.used;
      this.block = new Uint32Array(nextSize(this.block.length));
      this.used = 0;
    }
    this.block[this.used] = value;
    this.used += 1;
  }

  /** Returns everything pushed in one array and lets the blocks go; the column is empty afterwards. */
  take(): Uint32Array {
    const out = new Uint32Array(this.length);
    let at = 0;
    for (const block of this.full) {
      out.set(block, at);
      at += block.length;
    }
    out.set(this.block.subarray(0, this.used), at);
    this.full = [];
    this.block = new Uint32Array(0);
    this.used = 0;
    this.before = 0;
    return out;
  }
}

export class GrowableUint8 {
  private full: Uint8Array[] = [];
  private block = new Uint8Array(FIRST_BLOCK);
  private used = 0;
  private before = 0;

  get length(): number {
    return this.before + this.used;
  }

  push(value: number): void {
    if (this.used === this.block.length) {
      this.full.push(this.block);
      this.before += this.used;
      this.block = new Uint8Array(nextSize(this.block.length));
      this.used = 0;
    }
    this.block[this.used] = value;
    this.used += 1;
  }

  /** Returns everything pushed in one array and lets the blocks go; the column is empty afterwards. */
  take(): Uint8Array {
    const out = new Uint8Array(this.length);
    let at = 0;
    for (const block of this.full) {
      out.set(block, at);
      at += block.length;
    }
    out.set(this.block.subarray(0, this.used), at);
    this.full = [];
    this.block = new Uint8Array(0);
    this.used = 0;
    this.before = 0;
    return out;
  }
}
