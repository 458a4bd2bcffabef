import { readFile, rm } from 'node:fs/promises';
import { join } from 'node:path';
import type { SafeStorage } from 'electron';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { writeAtomically } from '../host/atomic-write.ts';
import { makeFolder } from '../host/make-folder.ts';
import type { KeptKey, KeyStore } from '../store/key-store.ts';

export interface SystemKeyStoreOptions {
  readonly safeStorage: Pick<SafeStorage, 'isAsyncEncryptionAvailable' | 'encryptStringAsync' | 'decryptStringAsync' | 'getSelectedStorageBackend'>;
  readonly platform: NodeJS.Platform;
  /** Where what the system has encrypted lies: of use only to this user on this computer. */
  readonly folder: string;
}

/**
 * Returns the key store of the system: macOS Keychain, Windows' data protection, or the keyring of a Linux desktop. Electron encrypts
 * with a key that the system keeps for this user; where Linux has no keyring it would use a text that everybody knows, and is not used.
 */
export function buildSystemKeyStore({ safeStorage, platform, folder }: SystemKeyStoreOptions): KeyStore {
  const fileOf = (libraryId: string): string => join(folder, `${libraryId}.key`);
  async function whyNot(): Promise<string | null> {
    // The names of backends are Electron's.
    const backend = platform === 'linux' ? safeStorage.getSelectedStorageBackend() : 'system';
    if (backend === 'basic_text' || backend === 'unknown') return 'This system has no key store (a keyring of the desktop) that would keep the key safe: the passphrase is typed at every start.';
    return (await safeStorage.isAsyncEncryptionAvailable()) ? null : 'The system’s key store does not answer: the passphrase is typed at every start.';
  }
  return {
    whyNot,
    async read(libraryId) {
      try {
        const { result } = await safeStorage.decryptStringAsync(await readFile(fileOf(libraryId)));
        return keptKey(result);
      } catch {
        return null; // nothing is kept, or the system gives it no more: the passphrase is asked for
      }
    },
    async keep(libraryId, { dataKey, keyFileDigest }) {
      if ((await whyNot()) !== null) throw refused();
      try {
        const text = JSON.stringify({ dataKey: Buffer.from(dataKey).toString('hex'), keyFileDigest });
        await makeFolder(folder, 0o700);
        await writeAtomically(fileOf(libraryId), await safeStorage.encryptStringAsync(text));
      } catch {
        throw refused();
      }
    },
    async forget(libraryId) {
      await rm(fileOf(libraryId), { force: true });
    },
  };
}

function keptKey(text: string): KeptKey | null {
  const parsed: unknown = JSON.parse(text);
  if (typeof parsed !== 'object' || parsed === null || !('dataKey' in parsed) || !('keyFileDigest' in parsed)) return null;
  const { dataKey, keyFileDigest } = parsed;
  if (typeof dataKey !== 'string' || !/^[0-9a-f]{64}$/.test(dataKey) || typeof keyFileDigest !== 'string') return null;
  return { dataKey: Buffer.from(dataKey, 'hex'), keyFileDigest };
}

function refused(): FailureError {
  return new FailureError({ code: 'no-key-store', message: 'The system’s key store did not take the key.', remedy: 'Unlock the keyring of your desktop and try again, or type the passphrase at every start.' });
}
