import type { StudyEffect, StudyOutcome } from './next-study.ts';
import type { AnalysisParameters } from './parameters.ts';

export const PROTOCOL_DESIGNS = ['paired', 'parallel', 'description'] as const;
/** As of a study; a description compares nothing. */
export type ProtocolDesign = (typeof PROTOCOL_DESIGNS)[number];

/** What is fixed before results are looked at. */
export interface ProtocolContent {
  readonly title: string;
  readonly question: string;
  readonly design: ProtocolDesign;
  readonly outcome: StudyOutcome;
  /** null for a description. */
  readonly effect: StudyEffect | null;
  /** The effect that the study is to find; null where none is stated. */
  readonly effectSize: number | null;
  /** Keys of sites; the first is what the others are held against. */
  readonly sites: readonly string[];
  /** In words: which cases are to be included, and which left out. */
  readonly cases: string;
  /** Patients, in a parallel design per group; null where none is stated. */
  readonly n: number | null;
  /** In words: how the outcome is to be analysed, and what else is looked at. */
  readonly analysis: string;
  readonly conf: number;
  readonly seed: number;
  /** The definition of a dropout, copied whole: a set that changes later does not change the protocol. */
  readonly parameters: AnalysisParameters;
}

/** A protocol as it was fixed. It never changes: a change is a version of its own, and both are kept. */
export interface StudyProtocol extends ProtocolContent {
  readonly protocolId: string;
  /** 1, 2, 3 … */
  readonly version: number;
  /** Why this version was made; '' for the first. */
  readonly reason: string;
  /** ISO 8601 in UTC. */
  readonly fixedAt: string;
  readonly productVersion: string;
  /** sha-256 of everything else here, as `protocolDigestText` writes it. */
  readonly digest: string;
}

/** A protocol as it was found in the library. */
export interface KeptProtocol {
  readonly protocol: StudyProtocol;
  /** The digest still is that of the content: it was not changed outside the program. */
  readonly isIntact: boolean;
}
