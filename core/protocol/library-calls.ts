/** How a library is kept. */
export type LibraryForm = 'folder' | 'encrypted';

/** A library of the user's own, by the name that the person gave it. */
export interface NamedLibrary {
  readonly name: string;
  readonly form: LibraryForm;
}

/** Whether the key of the open library can be kept by the system for the next start. */
export type KeyKeeping =
  /** It cannot; `why` is a sentence for the person. */
  | { readonly kind: 'none'; readonly why: string }
  | { readonly kind: 'offered'; readonly isKept: boolean };

/** What the window says of the library that is open, and of the others. Names only: no path goes to a page. */
export interface LibraryOverview {
  readonly open: NamedLibrary;
  /** Whether it lies in the user's own folder of libraries; else it was named when the program was started. */
  readonly isOwn: boolean;
  /** Other libraries in that folder, in the order of their names. */
  readonly others: readonly NamedLibrary[];
  /** null for a folder. `isOverruled`: by what the program was started with. */
  readonly lockAfter: { readonly minutes: number; readonly isOverruled: boolean } | null;
  readonly keyKeeping: KeyKeeping;
  /** What backups took the place of, the newest first; none for a folder. */
  readonly keptAside: readonly KeptAside[];
  /** Nobody has said yet whether records may be kept in this folder, which is not encrypted. */
  readonly isUndecided: boolean;
}

/** A backup; it counts as one only because it was opened and read through when it was made. */
export interface LibraryBackup {
  /** UTC, ISO 8601: when it was made, and what it is named by. */
  readonly at: string;
  readonly byteLength: number;
}

/** A library as it was before a backup took its place: kept beside it until a person removes it. */
export interface KeptAside {
  /** The name of its file, without a path. */
  readonly name: string;
  /** UTC, ISO 8601: when the backup was put in its place. */
  readonly at: string;
  readonly byteLength: number;
}

/** An import whose files were removed before it came to its end. */
export interface RemovedImport {
  readonly importId: string;
  readonly files: number;
  readonly byteLength: number;
  /** ISO 8601: when the last of its files was written. */
  readonly lastSignAt: string;
  /** Whether a reading was going on; else its files were chosen and not read yet. */
  readonly wasReading: boolean;
}

/** What came of one kind of shared definitions when they were taken in; names as a person knows them. */
export interface TakenKind {
  readonly added: readonly string[];
  readonly alreadyThere: readonly string[];
  /** Not taken, each with the reason. */
  readonly leftOut: readonly { readonly name: string; readonly why: string }[];
}

export interface TakenDefinitions {
  readonly mappings: TakenKind;
  readonly parameterSets: TakenKind;
  readonly protocols: TakenKind;
  readonly charts: TakenKind;
}

/** Calls about the library itself. A window over a single folder (a test) answers those that need others with `no-desk`. */
export interface LibraryCalls {
  describeLibrary(): Promise<LibraryOverview>;
  /** Makes an empty library of this name and goes on with it; `passphrase` for an encrypted one. Errors  `bad-name`, `library-there`, `passphrase-short`, `library-busy`. */
  createLibrary(args: NamedLibrary & { readonly passphrase: string | null }): Promise<{ readonly cases: number }>;
  /** Makes an encrypted library of the open folder and goes on with it; the folder stays. Errors  as `createLibrary`, `import-unfinished`, `move-differs`, `not-a-folder`. */
  moveLibrary(args: { readonly name: string; readonly passphrase: string }): Promise<{ readonly cases: number }>;
  /** Goes on with another library; an encrypted one is locked then. Errors  `library-missing`, `library-in-use`, `library-busy`. */
  openOtherLibrary(args: NamedLibrary): Promise<{ readonly isLocked: boolean }>;
  changePassphrase(args: { readonly before: string; readonly after: string }): Promise<{ readonly changed: true }>;
  /** Minutes without a sign of life after which the library is locked; 0: never. Kept in the library. Errors  `not-encrypted`. */
  setLockAfter(args: { readonly minutes: number }): Promise<{ readonly minutes: number }>;
  /** Keeps the library's key in the system's key store, or forgets it there. Errors  `no-key-store`. */
  keepKey(args: { readonly isKept: boolean }): Promise<{ readonly isKept: boolean }>;
  /** The backups, the newest first; also of a locked library. Errors  `not-encrypted`. */
  listBackups(): Promise<readonly LibraryBackup[]>;
  /** Makes a backup now, opens it and reads it through. Errors  `library-damaged`, `case-unreadable`, `disk-full`, `not-encrypted`. */
  backUpNow(): Promise<LibraryBackup & { readonly cases: number }>;
  /**
   * Puts a backup in the place of the library; what was there is kept beside it. An open library needs no passphrase and keeps its own;
   * a locked one (because it does not open) takes that of the backup's day. Errors  `backup-missing`, `passphrase-wrong`, `library-damaged`, `case-unreadable`.
   */
  restoreBackup(args: { readonly at: string; readonly passphrase: string | null }): Promise<{ readonly cases: number; readonly keptAs: string }>;
  /** Says that records may be kept in this folder, so that it is not asked again. */
  stayWithFolder(): Promise<{ readonly stays: true }>;
  /** Imports that were cut short and whose files were removed, until `forgetRemovedImports`. */
  removedImports(): Promise<readonly RemovedImport[]>;
  forgetRemovedImports(): Promise<{ readonly forgotten: true }>;
  /** Returns the text of a file with everything of the library that is not of patients. */
  shareDefinitions(): Promise<{ readonly text: string }>;
  /** Takes in what such a file holds and the library has not. Nothing is replaced. Errors  `bad-field`, `share-newer`. */
  takeDefinitions(args: { readonly text: string }): Promise<TakenDefinitions>;
}
