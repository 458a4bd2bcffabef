import { randomBytes } from 'node:crypto';
import type { FileHandle } from 'node:fs/promises';
import { open, readFile, rename, rm, stat, utimes } from 'node:fs/promises';
import { hostname } from 'node:os';
import { setTimeout } from 'node:timers/promises';
import { z } from 'zod';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { isSystemError } from './atomic-write.ts';

/** How often the holder shows that it is alive, and how long a silent one is believed. */
const SIGN_EVERY_MS = 10_000;
const BELIEVED_FOR_MS = 60_000;

const lockSchema = z.object({ pid: z.number().int(), machine: z.string(), nonce: z.string() });
type LockText = z.infer<typeof lockSchema>;

export interface LibraryLock {
  /** Gives the library free. */
  release(): Promise<void>;
}

/**
 * Returns the lock of a library once no other program holds it.
 * A lock whose program is gone (same machine: no such process; any machine: no sign of life for a minute) is taken over.
 * One that runs on this machine and was silent, as after the computer slept, is given time for its next sign first.
 * Errors  rejects with a FailureError `library-in-use` when another program holds it.
 */
export async function lockLibrary(path: string, libraryName: string, signEveryMs: number = SIGN_EVERY_MS): Promise<LibraryLock> {
  const own: LockText = { pid: process.pid, machine: hostname(), nonce: randomBytes(8).toString('hex') };
  for (let attempt = 0; attempt < 5; attempt += 1) {
    if (await create(path, own)) return hold(path, own, signEveryMs);
    const found = await readLock(path);
    if (found === 'gone') continue;
    if (!(await isStale(path, found, signEveryMs))) throw inUse(libraryName, found);
    await clearStale(path, found);
  }
  throw inUse(libraryName, null);
}

async function create(path: string, own: LockText): Promise<boolean> {
  let file: FileHandle;
  try {
    file = await open(path, 'wx', 0o600);
  } catch (error) {
    if (isSystemError(error, 'EEXIST')) return false;
    throw error;
  }
  try {
    await file.writeFile(JSON.stringify(own));
    await file.close();
    return true;
  } catch (error) {
    // On a full disk it has a name and no content: left there it would keep everybody out for a minute.
    await file.close().catch(() => undefined);
    await rm(path, { force: true });
    throw error;
  }
}

function hold(path: string, own: LockText, signEveryMs: number): LibraryLock {
  const timer = setInterval(() => {
    const now = new Date();
    utimes(path, now, now).catch(() => undefined); // the folder may be gone; the next write says so to the user
  }, signEveryMs);
  timer.unref();
  return {
    async release() {
      clearInterval(timer);
      const found = await readLock(path);
      if (found !== 'gone' && found?.nonce === own.nonce) await rm(path, { force: true });
    },
  };
}

/** Returns what the lock says; null when it is not readable (being written, or cut short by a crash). */
async function readLock(path: string): Promise<LockText | null | 'gone'> {
  try {
    const parsed = lockSchema.safeParse(JSON.parse(await readFile(path, 'utf8')));
    return parsed.success ? parsed.data : null;
  } catch (error) {
    if (isSystemError(error, 'ENOENT')) return 'gone';
    if (error instanceof SyntaxError) return null;
    throw error;
  }
}

async function isStale(path: string, found: LockText | null, signEveryMs: number): Promise<boolean> {
  const mayRun = found !== null && found.machine === hostname() && isRunning(found.pid);
  if (found !== null && found.machine === hostname() && !mayRun) return true;
  const before = await lastSign(path);
  if (before === null) return true;
  if (Date.now() - before <= BELIEVED_FOR_MS) return false;
  if (!mayRun) return true;
  await setTimeout(2 * signEveryMs);
  return (await lastSign(path)) === before; // the number may have gone to another program since
}

/** Returns when the holder last showed that it is alive, ms since 1970; null: the lock is gone. */
async function lastSign(path: string): Promise<number | null> {
  try {
    return (await stat(path)).mtimeMs;
  } catch (error) {
    if (isSystemError(error, 'ENOENT')) return null;
    throw error;
  }
}

function isRunning(pid: number): boolean {
  if (pid === process.pid) return true;
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return !isSystemError(error, 'ESRCH'); // EPERM: it runs under another user
  }
}

/** Moves the stale lock away under a name of our own, so that of two programs that found it only one removes it. */
async function clearStale(path: string, seen: LockText | null): Promise<void> {
  const away = `${path}.${randomBytes(6).toString('hex')}`;
  try {
    await rename(path, away);
  } catch (error) {
    if (isSystemError(error, 'ENOENT')) return;
    throw error;
  }
  const moved = await readLock(away);
  if (moved !== 'gone' && moved?.nonce !== seen?.nonce) {
    await rename(away, path); // another program had just taken the library: give it back its lock
    return;
  }
  await rm(away, { force: true });
}

function inUse(libraryName: string, holder: LockText | null): FailureError {
  const who = holder === null ? 'another program' : `process ${holder.pid}${holder.machine === hostname() ? '' : ` on ${holder.machine}`}`;
  return new FailureError({
    code: 'library-in-use',
    message: `The library "${libraryName}" is already open (${who}).`,
    remedy: 'Use the window that is open, close it first, or choose another library with --library.',
  });
}
