import type { Mapping } from './mapping.ts';
import type { AnalysisParameters } from './parameters.ts';
import type { ChartRule, QualityDefinition } from './quality-chart.ts';
import type { StudyProtocol } from './study-protocol.ts';

/** A quality chart without anything that was counted. */
export interface SharedChart {
  readonly name: string;
  readonly definition: QualityDefinition;
  /** Patterns that its last phase looks for. */
  readonly rules: readonly ChartRule[];
}

/** Something that did not go out with the definitions, and why. */
export interface NotShared {
  readonly what: string;
  readonly why: string;
}

/** What a library can give to another one: how things are read, counted and planned, and nothing of a patient. */
export interface SharedDefinitions {
  readonly schema: 'lacuna-shared-definitions/1';
  readonly productVersion: string;
  /** ISO 8601 in UTC. */
  readonly sharedAt: string;
  readonly notShared: readonly NotShared[];
  /** Name of the set that the library's figures are computed with; it is among the sets unless the program has it itself. */
  readonly inForce: string;
  readonly mappings: readonly Mapping[];
  readonly parameterSets: readonly AnalysisParameters[];
  readonly protocols: readonly StudyProtocol[];
  readonly charts: readonly SharedChart[];
}
