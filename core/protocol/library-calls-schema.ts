import { z } from 'zod';
import type { LibraryBackup, LibraryCalls, LibraryOverview, NamedLibrary, RemovedImport, TakenDefinitions } from './library-calls.ts';

/** Longest time without a sign of life that can be set, minutes. */
export const MOST_LOCK_MINUTES = 1440;

/** A file of shared definitions is text; anything larger is something else. */
const MAX_SHARE_CHARS = 16_000_000;

const formSchema = z.enum(['folder', 'encrypted']);
const namedSchema: z.ZodType<NamedLibrary> = z.strictObject({ name: z.string(), form: formSchema });
const nameSchema = z.string().max(200);
const passphraseSchema = z.string().max(1000);

const overviewSchema: z.ZodType<LibraryOverview> = z.strictObject({
  open: namedSchema,
  isOwn: z.boolean(),
  others: z.array(namedSchema),
  lockAfter: z.strictObject({ minutes: z.number(), isOverruled: z.boolean() }).nullable(),
  keyKeeping: z.discriminatedUnion('kind', [z.strictObject({ kind: z.literal('none'), why: z.string() }), z.strictObject({ kind: z.literal('offered'), isKept: z.boolean() })]),
  keptAside: z.array(z.strictObject({ name: z.string(), at: z.string(), byteLength: z.number() })),
  isUndecided: z.boolean(),
});

const backupFields = { at: z.string().max(40), byteLength: z.number() };
const backupSchema: z.ZodType<LibraryBackup> = z.strictObject(backupFields);

export const removedImportsSchema: z.ZodType<readonly RemovedImport[]> = z.array(
  z.strictObject({ importId: z.string(), files: z.number().int(), byteLength: z.number(), lastSignAt: z.string(), wasReading: z.boolean() }),
);

const takenKindSchema = z.strictObject({ added: z.array(z.string()), alreadyThere: z.array(z.string()), leftOut: z.array(z.strictObject({ name: z.string(), why: z.string() })) });
const takenSchema: z.ZodType<TakenDefinitions> = z.strictObject({ mappings: takenKindSchema, parameterSets: takenKindSchema, protocols: takenKindSchema, charts: takenKindSchema });

type ArgsOf<M extends keyof LibraryCalls> = Parameters<LibraryCalls[M]> extends [infer A] ? A : null;
type LibraryMethods = { readonly [M in keyof LibraryCalls]: { readonly args: z.ZodType<ArgsOf<M>>; readonly reply: z.ZodType<Awaited<ReturnType<LibraryCalls[M]>>> } };

/** The schema of every call about the library itself. */
export const LIBRARY_METHODS: LibraryMethods = {
  describeLibrary: { args: z.null(), reply: overviewSchema },
  createLibrary: { args: z.strictObject({ name: nameSchema, form: formSchema, passphrase: passphraseSchema.nullable() }), reply: z.strictObject({ cases: z.number() }) },
  moveLibrary: { args: z.strictObject({ name: nameSchema, passphrase: passphraseSchema }), reply: z.strictObject({ cases: z.number() }) },
  openOtherLibrary: { args: z.strictObject({ name: nameSchema, form: formSchema }), reply: z.strictObject({ isLocked: z.boolean() }) },
  changePassphrase: { args: z.strictObject({ before: passphraseSchema, after: passphraseSchema }), reply: z.strictObject({ changed: z.literal(true) }) },
  setLockAfter: { args: z.strictObject({ minutes: z.number().min(0).max(MOST_LOCK_MINUTES) }), reply: z.strictObject({ minutes: z.number() }) },
  keepKey: { args: z.strictObject({ isKept: z.boolean() }), reply: z.strictObject({ isKept: z.boolean() }) },
  listBackups: { args: z.null(), reply: z.array(backupSchema) },
  backUpNow: { args: z.null(), reply: z.strictObject({ ...backupFields, cases: z.number() }) },
  restoreBackup: { args: z.strictObject({ at: z.string().max(40), passphrase: passphraseSchema.nullable() }), reply: z.strictObject({ cases: z.number(), keptAs: z.string() }) },
  stayWithFolder: { args: z.null(), reply: z.strictObject({ stays: z.literal(true) }) },
  removedImports: { args: z.null(), reply: removedImportsSchema },
  forgetRemovedImports: { args: z.null(), reply: z.strictObject({ forgotten: z.literal(true) }) },
  shareDefinitions: { args: z.null(), reply: z.strictObject({ text: z.string() }) },
  takeDefinitions: { args: z.strictObject({ text: z.string().max(MAX_SHARE_CHARS) }), reply: takenSchema },
};
