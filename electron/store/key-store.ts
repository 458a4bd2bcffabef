/** The key of a library as it is kept for the next start. */
export interface KeptKey {
  /** The data key of the library; never its passphrase, which a person may use elsewhere. */
  readonly dataKey: Uint8Array;
  /** SHA-256 of the key file as it was: another key file, and what is kept is not used. */
  readonly keyFileDigest: string;
}

/** A place of the system where keys of libraries can be kept for the user of this computer. */
export interface KeyStore {
  /** Returns why it cannot be used, as a sentence for the person; null when it can. */
  whyNot(): Promise<string | null>;
  /** `libraryId` names the library and says nothing about it. Missing  null: nothing is kept, or it cannot be read any more. */
  read(libraryId: string): Promise<KeptKey | null>;
  /** Errors  rejects with a FailureError when the system refuses. */
  keep(libraryId: string, key: KeptKey): Promise<void>;
  forget(libraryId: string): Promise<void>;
}

/** Returns the store of a window that has none. */
export function noKeyStore(why: string): KeyStore {
  return {
    whyNot: async () => why,
    read: async () => null,
    keep: async () => undefined,
    forget: async () => undefined,
  };
}
