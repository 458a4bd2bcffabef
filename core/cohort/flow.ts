import type { CasesLeftOut, CohortFlow, FlowStep, NamedCase, UnreadCase } from '../model/cohort-flow.ts';
import type { ChosenCases } from './choose-cases.ts';
import { clusterOf, inCaseOrder, inCodePointOrder } from './clusters.ts';

/**
 * Returns how many cases came how far, with the reasons of those that did not.
 * Shape   imported → readable → usable (SpO2, monitored) → analysed (chosen); each step counts what the one before has, less
 *         what is left out in between.
 * Source  RECORD 2015, items 6.1 and 13.1; handbook 9.5.
 */
export function cohortFlow({ chosen, notUsable, notChosen }: ChosenCases, unread: readonly UnreadCase[]): CohortFlow {
  const readable = chosen.length + notUsable.length + notChosen.length;
  const named = ({ caseKey, caseId }: NamedCase): NamedCase => ({ caseKey, caseId });
  const steps: FlowStep[] = [
    { step: 'imported', cases: readable + unread.length, leftOut: [] },
    { step: 'readable', cases: readable, leftOut: byReason(unread.map((one) => ({ one: named(one), reason: one.reason }))) },
    { step: 'usable', cases: readable - notUsable.length, leftOut: byReason(notUsable.map(({ one, reason }) => ({ one: named(one), reason }))) },
    { step: 'analysed', cases: chosen.length, leftOut: byReason(notChosen.map(({ one, reason }) => ({ one: named(one), reason }))) },
  ];
  return {
    steps,
    units: new Set(chosen.map(clusterOf)).size,
    unit: chosen.some(({ patientKey }) => patientKey !== null) ? 'patient' : 'case',
    undated: chosen.filter(({ date }) => date === null).length,
  };
}

function byReason(leftOut: readonly { readonly one: NamedCase; readonly reason: string }[]): CasesLeftOut[] {
  const reasons = new Map<string, NamedCase[]>();
  for (const { one, reason } of leftOut) {
    const cases = reasons.get(reason) ?? [];
    cases.push(one);
    reasons.set(reason, cases);
  }
  return [...reasons].map(([reason, cases]) => ({ reason, cases: cases.sort(inCaseOrder) })).sort((a, b) => b.cases.length - a.cases.length || inCodePointOrder(a.reason, b.reason));
}
