import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';

/** Returns the SHA-256 of a file on the disk, in hexadecimal; read in pieces, whatever its size. */
export async function fileDigest(path: string): Promise<string> {
  const hash = createHash('sha256');
  for await (const chunk of createReadStream(path, { highWaterMark: 1 << 20 })) hash.update(chunk as Uint8Array); // a stream without an encoding yields Buffers
  return hash.digest('hex');
}
