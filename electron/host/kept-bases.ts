import { z } from 'zod';
import { fourInstantsShape, range3Schema } from '../../core/model/analysis-schema.ts';
import type { ReviewBasis } from '../../core/model/review.ts';
import type { LibraryDocument } from './library-shelf.ts';

/** What reviews need of a case, with the stamp of the content that it was read from. */
export interface StampedBasis {
  readonly stamp: string;
  readonly basis: ReviewBasis;
}

/**
 * What reviews need of the cases of a library, kept so that a queue over them need not read every case again after each start. It is a
 * cache: what cannot be read, or was written by another version of the program, is none, and what cannot be written is made again.
 * No name of a case is in it.
 */
export interface KeptBases {
  /** Returns what is kept of cases that are in the library; `caseIdOf`: the name of a case, null when it is gone. `gone`: how many others there are. */
  read(productVersion: string, caseIdOf: (caseKey: string) => string | null): Promise<{ readonly found: readonly StampedBasis[]; readonly gone: number }>;
  /** Keeps these in place of what was kept. */
  keep(productVersion: string, bases: readonly StampedBasis[]): Promise<void>;
}

const SCHEMA = 'lacuna-review-bases/1';
const clockSchema = z.strictObject({ kind: z.enum(['absolute', 'time of day', 'elapsed']), wallMs: z.number(), epochMs: z.number().nullable() });
const dropoutSchema = z.strictObject({ ...fourInstantsShape, dropoutId: z.string(), siteKey: z.string(), number: z.number(), censoredAtMs: z.number().nullable(), lostMs: range3Schema });
const fileSchema = z.strictObject({
  schema: z.literal(SCHEMA),
  productVersion: z.string(),
  cases: z.array(
    z.strictObject({
      stamp: z.string(),
      basis: z.strictObject({
        caseKey: z.string(),
        seen: z.strictObject({ parametersDigest: z.string(), parametersName: z.string(), productVersion: z.string(), inputDigests: z.array(z.string()) }),
        bounds: z.strictObject({ startMs: z.number(), endMs: z.number() }),
        sites: z.array(z.strictObject({ siteKey: z.string(), clock: clockSchema, dropouts: z.array(dropoutSchema) })),
      }),
    }),
  ),
});

/** Returns what is kept in a document. */
export function buildKeptBases(document: LibraryDocument): KeptBases {
  return {
    async read(productVersion, caseIdOf) {
      try {
        const file = fileSchema.parse(JSON.parse((await document.read()) ?? 'null'));
        const found = file.cases.flatMap(({ stamp, basis }): StampedBasis[] => {
          const caseId = file.productVersion === productVersion ? caseIdOf(basis.caseKey) : null;
          return caseId === null ? [] : [{ stamp, basis: { ...basis, caseId } }];
        });
        return { found, gone: file.cases.length - found.length };
      } catch {
        return { found: [], gone: 0 }; // a cache: the cases themselves are read
      }
    },
    async keep(productVersion, bases) {
      const cases = bases.map(({ stamp, basis: { caseId: _caseId, ...basis } }) => ({ stamp, basis }));
      await document.replace(JSON.stringify({ schema: SCHEMA, productVersion, cases })).catch(() => undefined);
    },
  };
}
