import type { Allowance } from './archive/allowance.ts';
import { GZIP } from './archive/gzip-carrier.ts';
import { ZIP } from './archive/zip-carrier.ts';
import { EDF } from './edf/edf-carrier.ts';
import { FHIR } from './fhir/fhir-carrier.ts';
import { HL7V2 } from './hl7v2/hl7v2-carrier.ts';
import type { ByteSource, ImportOptions } from './reader.ts';
import type { FileReading } from './reading.ts';

/** What a container is given to have its parts read. */
export interface Inside {
  /** How many archives lie around this source; 0 for a file of its own. */
  readonly depth: number;
  /** What may still come out of the outermost file. */
  readonly allowance: Allowance;
  /** Returns what a part holds: it may be anything that the registry knows, or delimited text. */
  read(part: ByteSource): Promise<FileReading[]>;
}

/** A way in which files carry data other than as plain delimited text. */
export interface Carrier {
  /** Short name, as the report's layout has it: 'fhir', 'edf', 'hl7v2'. */
  readonly id: string;
  /** What it reads are the parts of a file, each with a digest of its own: their reports name the file too. */
  readonly isContainer?: boolean;
  /** Returns whether the first bytes of a file are of this kind. Looks at content, never at the name. */
  sniff(head: Uint8Array, source: ByteSource): boolean;
  /**
   * Returns what the file holds: one reading, or one per part of a container.
   * Errors  bad content never throws: it is `failure` in the report or a rejected row. Rejects with the signal's reason when
   *         aborted, and with the source's own error when the bytes cannot be had.
   */
  read(source: ByteSource, options: ImportOptions, inside: Inside): Promise<FileReading[]>;
}

/** Every carrier, in the order in which they are asked. A file that none claims is read as delimited text. */
const CARRIERS: readonly Carrier[] = [ZIP, GZIP, EDF, FHIR, HL7V2];

/** Returns the carrier whose kind of file the first bytes are, null for delimited text and everything unknown. */
export function carrierOf(head: Uint8Array, source: ByteSource): Carrier | null {
  return CARRIERS.find((carrier) => carrier.sniff(head, source)) ?? null;
}
