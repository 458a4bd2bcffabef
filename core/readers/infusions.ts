import type { RawDrug } from './reading.ts';

/** From this share of its amounts on that stand at the time of a rate of the same drug, a table's amounts are those that infusions gave. */
const MOSTLY = 0.8;
const FEWEST = 3;

function nameOf(drug: RawDrug): string {
  return drug.inn ?? drug.text;
}

function isInfusion({ form }: RawDrug): boolean {
  return form === 'infusion start' || form === 'infusion rate';
}

/** The times of the rates of each drug of one case. */
function ratesOf(drugs: readonly RawDrug[]): Map<string, Set<number>> {
  const ratesAt = new Map<string, Set<number>>();
  for (const drug of drugs) {
    if (drug.form === 'bolus') continue;
    const own = ratesAt.get(nameOf(drug)) ?? new Set<number>();
    own.add(drug.tMs);
    ratesAt.set(nameOf(drug), own);
  }
  return ratesAt;
}

/**
 * Returns whether the amounts of a table are those that infusions gave up to then: a chart may list, at each time, the rate and
 * the amount since the time before. `cases`: the entries of each case.
 * Source: open-data mimic3-demo-charted, whose first system charts so.
 */
export function areAmountsOfInfusions(cases: readonly (readonly RawDrug[])[]): boolean {
  let n = 0;
  let beside = 0;
  for (const drugs of cases) {
    const ratesAt = ratesOf(drugs);
    for (const drug of drugs) {
      const rates = ratesAt.get(nameOf(drug));
      if (drug.form !== 'bolus' || drug.inn === null || rates === undefined) continue;
      n += 1;
      if (rates.has(drug.tMs)) beside += 1;
    }
  }
  return n >= FEWEST && beside >= n * MOSTLY;
}

/** Returns the entries of one case with the amounts of drugs that run as infusions marked: they are kept, and are no doses of their own. */
export function withAmountsMarked(drugs: readonly RawDrug[]): { readonly drugs: readonly RawDrug[]; readonly nAmounts: number } {
  const ratesAt = ratesOf(drugs);
  let nAmounts = 0;
  const marked = drugs.map((drug): RawDrug => {
    if (drug.form !== 'bolus' || drug.inn === null || !ratesAt.has(drug.inn)) return drug;
    nAmounts += 1;
    return { ...drug, isVasopressor: false, flags: [...drug.flags.filter((flag) => !/usual bolus/.test(flag)), 'amount given by a running infusion: no dose of its own'] };
  });
  return { drugs: marked, nAmounts };
}

/** Returns a stop for each infusion whose entry ends while no other entry of the drug goes on or begins at that time. */
export function stopsAtEnds(drugs: readonly RawDrug[]): RawDrug[] {
  const byName = new Map<string, RawDrug[]>();
  for (const drug of drugs) if (drug.form !== 'bolus') byName.set(nameOf(drug), [...(byName.get(nameOf(drug)) ?? []), drug]);
  const stops: RawDrug[] = [];
  for (const own of byName.values()) {
    own.sort((a, b) => a.tMs - b.tMs);
    // The latest time up to which any entry so far goes on; entries without an end go on until the next.
    let until = -Infinity;
    own.forEach((drug, i) => {
      until = Math.max(until, drug.endMs ?? drug.tMs);
      const next = own[i + 1];
      if (!isInfusion(drug) || drug.endMs === null || until > drug.endMs || (next !== undefined && next.tMs <= drug.endMs)) return;
      stops.push({ ...drug, form: 'infusion stop', amount: 0, tMs: drug.endMs, endMs: null, flags: ['the end of the entry'], text: `${drug.text} (end)` });
    });
  }
  return stops;
}
