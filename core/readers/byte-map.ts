/** A map keyed by bytes, so that names and words that come again on every row are decoded once. */
export class ByteMap<T> {
  private readonly slots = new Map<number, { readonly bytes: Uint8Array; readonly value: T }[]>();
  private size = 0;
  private readonly limit: number;

  /** After `limit` different keys nothing more is kept: a column of free text must not fill the memory. */
  constructor(limit = 20_000) {
    this.limit = limit;
  }

  /** Returns what was stored for the bytes `buf[start, end)`, undefined when nothing was. */
  get(buf: Uint8Array, start: number, end: number): T | undefined {
    const bucket = this.slots.get(hashOf(buf, start, end));
    if (bucket === undefined) return undefined;
    for (const entry of bucket) if (isSame(entry.bytes, buf, start, end)) return entry.value;
    return undefined;
  }

  set(buf: Uint8Array, start: number, end: number, value: T): void {
    if (this.size >= this.limit) return;
    const hash = hashOf(buf, start, end);
    const entry = { bytes: buf.slice(start, end), value };
    const bucket = this.slots.get(hash);
    if (bucket === undefined) this.slots.set(hash, [entry]);
    else bucket.push(entry);
    this.size += 1;
  }
}

/** FNV-1a over the bytes, 31 bits. Source: Fowler, Noll, Vo, public description; constants from memory. */
function hashOf(buf: Uint8Array, start: number, end: number): number {
  let hash = 0x811c9dc5;
  for (let i = start; i < end; i += 1) hash = Math.imul(hash ^ (buf[i] as number), 0x01000193); // i stays inside the cell
  return hash >>> 1;
}

function isSame(bytes: Uint8Array, buf: Uint8Array, start: number, end: number): boolean {
  if (bytes.length !== end - start) return false;
  for (let i = 0; i < bytes.length; i += 1) if (bytes[i] !== buf[start + i]) return false;
  return true;
}
