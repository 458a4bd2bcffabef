import { open } from 'node:fs/promises';

/** Returns once what was written to a file is on the disk. */
export async function flushFile(path: string): Promise<void> {
  const file = await open(path, 'r+');
  try {
    await file.sync();
  } finally {
    await file.close();
  }
}
