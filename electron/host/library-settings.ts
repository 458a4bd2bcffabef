import { createHmac, randomBytes } from 'node:crypto';
import { z } from 'zod';
import { DEFAULT_PARAMETERS, type AnalysisParameters } from '../../core/model/parameters.ts';
import { analysisParametersSchema } from '../../core/model/parameters-schema.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import { MOST_LOCK_MINUTES } from '../../core/protocol/library-calls-schema.ts';
import type { LibraryDocument, LibraryShelf } from './library-shelf.ts';

/** Idle minutes after which a new encrypted library is locked. */
const LOCK_AFTER_MINUTES = 10;

const factsSchema = z.object({
  schema: z.literal('lacuna-library/1'),
  salt: z.string().regex(/^[0-9a-f]{64}$/),
  samplesOffered: z.boolean(),
  reanalysisPending: z.boolean(),
  lockAfterMinutes: z.number().min(0).max(MOST_LOCK_MINUTES).default(LOCK_AFTER_MINUTES),
  /** Whether a person has said that records may be kept in a folder. */
  staysFolder: z.boolean().default(false),
});
type Facts = z.infer<typeof factsSchema>;

/** What a library knows of itself, and the parameters that its figures are computed with. Errors of the calls: as `LibraryDocument.replace`. */
export interface LibrarySettings {
  /** False: the library was never filled with the sample cases. */
  readonly samplesOffered: boolean;
  /** Whether cases wait for an analysis with the stored parameters. */
  readonly reanalysisPending: boolean;
  /** Idle minutes after which an encrypted library is locked; 0: never. */
  readonly lockAfterMinutes: number;
  /** Whether a person has said that records may be kept in a folder. */
  readonly staysFolder: boolean;
  /** Resolves when the change is on the disk; until then the settings are what they were. */
  change(change: Partial<Omit<Facts, 'schema' | 'salt'>>): Promise<void>;
  /** Returns the key under which a case of this name is stored where the library does not have it yet. */
  newKeyOf(caseId: string): string;
  /** Key of the codes that stand for persons and records, hexadecimal. A key of its own: a code must not tell which key a case has. */
  readonly pseudonymKey: string;
  /** Errors  rejects with a FailureError `parameters-damaged`. */
  readParameters(): Promise<AnalysisParameters>;
  /** Stores the parameters and says that every case waits for an analysis with them. */
  saveParameters(parameters: AnalysisParameters): Promise<void>;
}

/**
 * Returns the settings on a shelf, made anew where there are none. `isNew`: whether the library holds no case yet.
 * Errors  rejects with a FailureError: `library-newer`, `library-facts-damaged`; nothing was changed then.
 */
export async function openSettings(shelf: LibraryShelf, isNew: () => Promise<boolean>): Promise<LibrarySettings> {
  const document = shelf.document('library');
  const parametersDocument = shelf.document('parameters');
  const text = await document.read();
  const found = text === null ? null : readFacts(text, document);
  // New, or lost: the cases stay readable without it, since they are found by the names inside them.
  let facts: Facts = found ?? { schema: 'lacuna-library/1', salt: randomBytes(32).toString('hex'), samplesOffered: !(await isNew()), reanalysisPending: false, lockAfterMinutes: LOCK_AFTER_MINUTES, staysFolder: false };
  if (found === null) await document.replace(JSON.stringify(facts));
  const keyed = (text: string): string => createHmac('sha256', Buffer.from(facts.salt, 'hex')).update(text).digest('hex');
  let lastTurn: Promise<unknown> = Promise.resolve();
  /** Known once it is on the disk; one change after the other, so that none writes over another. */
  function change(some: Partial<Facts>): Promise<void> {
    const next = lastTurn.then(async () => {
      const changed = { ...facts, ...some };
      await document.replace(JSON.stringify(changed));
      facts = changed;
    });
    lastTurn = next.catch(() => undefined);
    return next;
  }
  return {
    get samplesOffered() {
      return facts.samplesOffered;
    },
    get reanalysisPending() {
      return facts.reanalysisPending;
    },
    get lockAfterMinutes() {
      return facts.lockAfterMinutes;
    },
    get staysFolder() {
      return facts.staysFolder;
    },
    change,
    newKeyOf: (caseId) => keyed(caseId).slice(0, 32),
    get pseudonymKey() {
      return keyed('pseudonyms');
    },
    async readParameters() {
      try {
        const text = await parametersDocument.read();
        if (text === null) return DEFAULT_PARAMETERS;
        const stored: unknown = JSON.parse(text);
        // A parameter that an earlier version did not know takes its default; whatever else is wrong the schema refuses.
        return analysisParametersSchema.parse(typeof stored === 'object' ? { ...DEFAULT_PARAMETERS, ...stored } : stored);
      } catch {
        throw new FailureError({ code: 'parameters-damaged', message: 'The stored analysis parameters cannot be read.', remedy: 'Set them again on the parameters screen and save.' });
      }
    },
    async saveParameters(parameters) {
      await change({ reanalysisPending: true });
      await parametersDocument.replace(`${JSON.stringify(parameters, null, 2)}\n`);
    },
  };
}

function readFacts(text: string, { wayOut, wayBack }: LibraryDocument): Facts {
  let json: unknown = null;
  try {
    json = JSON.parse(text);
  } catch {
    // told below
  }
  const parsed = factsSchema.safeParse(json);
  if (parsed.success) return parsed.data;
  const schema = typeof json === 'object' && json !== null && 'schema' in json ? json.schema : null;
  if (typeof schema === 'string' && /^lacuna-library\/\d+$/.test(schema) && schema !== 'lacuna-library/1') {
    throw new FailureError({ code: 'library-newer', message: 'The library was changed by a later version of Lacuna.', remedy: 'Open it with that version or a later one; nothing was changed.' });
  }
  throw new FailureError({
    code: 'library-facts-damaged',
    message: 'What the library knows of itself cannot be read: the key of its codes for persons is in it. Nothing was changed.',
    remedy: `${wayBack}. Without a backup: ${wayOut.charAt(0).toLowerCase()}${wayOut.slice(1)}, and open the library again; its cases are all there, but the same person gets another code from then on.`,
  });
}
