import { createHash, createHmac } from 'node:crypto';
import { open, readFile } from 'node:fs/promises';
import type { InputFile } from '../../core/worker/analysis-service.ts';
import { WrongCall, codeOf } from './find-inputs.ts';

const LEAST_BYTES = 16;
/** So much of each file goes into the key: all of a small one, and enough of a large one that nobody guesses it. */
const BYTES_OF_FILE = 1 << 20;
const PURPOSE = 'lacuna pseudonyms 1';

/** Returns the key that a file holds, as hexadecimal; null where none is given. Throws WrongCall for one that cannot be a key. */
export async function readPseudonymKey(path: string | undefined): Promise<string | null> {
  if (path === undefined) return null;
  const bytes = await readFile(path).catch((error: unknown) => {
    throw new WrongCall(`The pseudonym key cannot be read (${codeOf(error)}): ${path}`);
  });
  if (bytes.byteLength < LEAST_BYTES) throw new WrongCall(`The pseudonym key has ${bytes.byteLength} bytes: at least ${LEAST_BYTES} bytes of chance are needed: ${path}`);
  return createHmac('sha256', bytes).update(PURPOSE).digest('hex');
}

/**
 * Returns a key made of the input itself, so that two runs on the same input give the same codes. It is not made of the digests
 * that stand in the results: whoever has only the results cannot make it again. Whoever has the input can.
 * A file that cannot be read adds nothing; the run reports it.
 */
export async function keyFromInputs(files: readonly InputFile[]): Promise<string> {
  const digests: string[] = [];
  for (const { path } of files) {
    const digest = createHmac('sha256', PURPOSE);
    const file = await open(path, 'r').catch(() => null);
    if (file === null) continue;
    try {
      const buffer = Buffer.alloc(BYTES_OF_FILE);
      const { bytesRead } = await file.read(buffer, 0, BYTES_OF_FILE, 0);
      digests.push(digest.update(buffer.subarray(0, bytesRead)).digest('hex'));
    } catch {
      // Reported when the run comes to read it.
    } finally {
      await file.close();
    }
  }
  return createHash('sha256').update(PURPOSE).update(digests.sort().join(' ')).digest('hex');
}
