import type { EventKind } from '../model/event.ts';

/** What the dictionary makes of a drug's name. */
export interface DrugTerm {
  readonly inn: string;
  readonly atc: string | null;
  readonly isVasopressor: boolean;
  /** Usual adult bolus, only to notice an improbable unit; never advice. */
  readonly bolus: { readonly low: number; readonly high: number; readonly unit: string } | null;
  readonly infusionOnly: boolean;
}

/** A free-text administration taken apart. Everything not stated is null; nothing is invented. */
export interface ParsedDose {
  readonly drug: DrugTerm | null;
  /** Names the text could also mean (`neo`); non-empty means "ask". */
  readonly ambiguous: readonly string[];
  readonly form: 'bolus' | 'infusion start' | 'infusion rate' | 'infusion stop';
  readonly amount: number | null;
  /** UCUM spelling. */
  readonly unit: string;
  readonly route: string | null;
  /** `x2`, `100+100`: how many doses the amount was given as; amount is the total. */
  readonly parts: number;
  readonly flags: readonly string[];
  /** False when the text names a drug but says that none was given (negated, planned, a total, a dose of 0); the first flag says why. */
  readonly isGiven: boolean;
}

export interface ParsedEvent {
  readonly kind: EventKind;
  readonly term: string;
  readonly phase: 'start' | 'end' | 'moment';
  readonly site: string | null;
}

/*
 * core/terms/ exports, all pure and reading only core/terms/dictionary.json:
 *   find-drug.ts     findDrug(name: string, route?: string | null): { term: DrugTerm | null; ambiguous: string[] }
 *   parse-dose.ts    parseDose(text: string): ParsedDose            doseFlags(term, amount, unit): string[]
 *   dose-unit.ts     normalizeDoseUnit(text: string): string | null convertDose(amount, from, to): number | null
 *   route.ts         normalizeRoute(text: string): string | null
 *   measure-unit.ts  normalizeMeasureUnit(text: string): string | null
 *   parse-event.ts   parseEvent(text: string): ParsedEvent          ('note' when nothing is recognised)
 *                    parseEvents(text: string): ParsedEvent[]       (every event of the text; empty for a plain note)
 *   find-site.ts     findSite(text: string): { site: Site; sensor: string } | null
 *   find-quantity.ts findQuantity(heading: string, unit?: string): { quantity; site; sensor; unit; assumption } | null
 */
