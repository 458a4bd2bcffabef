import type { CohortOptions } from './cohort-options.ts';

export const BUNDLE_KIND = 'lacuna-bundle/1';

/** A file with its digest. */
export interface FileDigest {
  /** Name; in a bundle with '/' between folder and file. */
  readonly file: string;
  /** SHA-256, hexadecimal; '' for an input that could not be opened. */
  readonly sha256: string;
  readonly byte_length: number;
}

/** A file beside the inputs that the figures depend on: whoever makes the bundle anew has to give it too. */
export interface GivenFile extends FileDigest {
  /** Option of the call that named it, such as `--mapping`. */
  readonly option: string;
}

/** Where the cases of a bundle came from. */
export type BundleSource = 'inputs' | 'library';

/** manifest.json of a bundle: what it was made from, how, and the digest of every other file in it. */
export interface BundleManifest {
  readonly kind: typeof BUNDLE_KIND;
  readonly product: 'lacuna';
  readonly product_version: string;
  /** `inputs`: it can be made anew from them; `library`: from a library whose cases may carry clocks set by hand. */
  readonly source: BundleSource;
  /** The call that makes it anew; INPUT and DIR stand for what the caller has. */
  readonly call: string;
  readonly options: BundleOptions;
  /** Files beside the inputs. */
  readonly given: readonly GivenFile[];
  readonly inputs: readonly FileDigest[];
  /** Every file of the bundle but this one and SHA256SUMS. */
  readonly files: readonly FileDigest[];
  /** When it was made, as stated by the caller; null: nobody did. No other file holds it. */
  readonly made: string | null;
}

/** Everything of a call that the bytes depend on beside the files. */
export interface BundleOptions {
  readonly zone: string | null;
  /** A zone was stated and is not named here, as `relativeTime` asks; it has to be stated again. */
  readonly isZoneLeftOut: boolean;
  readonly keepIdentifiers: boolean;
  readonly pseudonyms: 'key from a file' | 'key from the input' | 'key of the library';
  readonly relativeTime: boolean;
  readonly robustness: boolean;
  readonly caseListColumn: string | null;
  readonly caseListDate: string | null;
  readonly cohort: CohortOptions;
  /** Keys of the cases that were asked for, where they come from a library, which alone knows them; they hold no name. Left out: the cases come from inputs. */
  readonly cases?: readonly string[] | undefined;
}
