import { mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { buildSystemKeyStore, type SystemKeyStoreOptions } from '../../../../electron/desktop/system-key-store.ts';
import type { KeptKey } from '../../../../electron/store/key-store.ts';

/*
 * Over a stand-in of Electron's safeStorage: what the system does with the bytes is its own business; that nothing reaches the disk
 * unencrypted, and that nothing is kept where Electron would encrypt with a text that everybody knows, is ours.
 */
let folder = '';
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'lacuna-keys-'));
});
afterEach(() => rm(folder, { recursive: true, force: true }));

type Backend = ReturnType<SystemKeyStoreOptions['safeStorage']['getSelectedStorageBackend']>;
interface StandIn {
  backend: Backend;
  isAvailable: boolean;
  isLocked: boolean;
}

function build(system: StandIn, platform: NodeJS.Platform = 'linux') {
  const flip = (bytes: Uint8Array): Buffer => Buffer.from(bytes.map((byte) => byte ^ 0x5a));
  const unlocked = (): void => {
    if (system.isLocked) throw new Error('the keyring is locked');
  };
  return buildSystemKeyStore({
    platform,
    folder: join(folder, 'keys'),
    safeStorage: {
      getSelectedStorageBackend: () => system.backend,
      isAsyncEncryptionAvailable: async () => system.isAvailable,
      encryptStringAsync: async (text) => {
        unlocked();
        return flip(Buffer.from(text, 'utf8'));
      },
      decryptStringAsync: async (bytes) => {
        unlocked();
        return { result: flip(bytes).toString('utf8'), shouldReEncrypt: false };
      },
    },
  });
}

const ID = 'a'.repeat(32);
const KEY: KeptKey = { dataKey: new Uint8Array(32).fill(7), keyFileDigest: 'b'.repeat(64) };

test('keeps a key for the next start, encrypted by the system, and forgets it', async () => {
  const system: StandIn = { backend: 'gnome_libsecret', isAvailable: true, isLocked: false };
  const store = build(system);
  expect([await store.whyNot(), await store.read(ID)]).toEqual([null, null]);
  await store.keep(ID, KEY);
  const [name] = await readdir(join(folder, 'keys'));
  const bytes = await readFile(join(folder, 'keys', name ?? ''));
  expect(bytes.includes('07'.repeat(32))).toBe(false);
  expect(await build(system).read(ID)).toEqual({ ...KEY, dataKey: Buffer.from(KEY.dataKey) });
  await store.forget(ID);
  await store.forget(ID); // nothing there: nothing to do
  expect(await store.read(ID)).toBeNull();
  expect(await readdir(join(folder, 'keys'))).toEqual([]);
});

test.each([['basic_text', 'linux', true], ['unknown', 'linux', true], ['kwallet6', 'linux', false], ['kwallet6', 'darwin', false], ['kwallet6', 'win32', false]] as const)('is not used with %s on %s where available is %s', async (backend, platform, isAvailable) => {
  const store = build({ backend, isAvailable, isLocked: false }, platform);
  expect(await store.whyNot()).toMatch(/passphrase is typed at every start/);
  await expect(store.keep(ID, KEY)).rejects.toMatchObject({ code: 'no-key-store' });
  expect(await readdir(folder)).toEqual([]);
});

test('on macOS and Windows no backend of Linux is asked for', async () => {
  for (const platform of ['darwin', 'win32'] as const) expect(await build({ backend: 'basic_text', isAvailable: true, isLocked: false }, platform).whyNot()).toBeNull();
});

test('a keyring that is locked, or a file that was changed, means that the passphrase is asked for', async () => {
  const system: StandIn = { backend: 'kwallet6', isAvailable: true, isLocked: false };
  const store = build(system);
  await store.keep(ID, KEY);
  system.isLocked = true;
  expect(await store.read(ID)).toBeNull();
  await expect(store.keep(ID, KEY)).rejects.toMatchObject({ code: 'no-key-store' });
  system.isLocked = false;
  expect(await store.read(ID)).not.toBeNull();
  for (const text of ['', 'x', '{"dataKey":"07"}']) {
    await writeFile(join(folder, 'keys', `${ID}.key`), Buffer.from(text).map((byte) => byte ^ 0x5a));
    expect(await store.read(ID)).toBeNull();
  }
});
