const TABLE: Uint32Array = makeTable();

function makeTable(): Uint32Array {
  const table = new Uint32Array(256);
  for (let n = 0; n < 256; n += 1) {
    let c = n;
    for (let k = 0; k < 8; k += 1) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
    table[n] = c >>> 0;
  }
  return table;
}

/**
 * Returns the CRC-32 of `bytes` after bytes whose CRC-32 is `before` (0 before the first).
 * Source  RFC 1952, section 8.
 */
export function crc32(bytes: Uint8Array, before = 0): number {
  let c = ~before;
  for (let i = 0; i < bytes.length; i += 1) c = (TABLE[(c ^ (bytes[i] as number)) & 0xff] as number) ^ (c >>> 8); // i < length; 256 entries
  return ~c >>> 0;
}
