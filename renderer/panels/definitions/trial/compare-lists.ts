import type { DefinedDropout, DefinedSite } from '../../../../core/robustness/apply-definition.ts';

/** A dropout under the tried definition, or one that only the definition in force has. */
export interface ListedDropout {
  readonly siteKey: string;
  readonly dropout: DefinedDropout;
  /** 'new': not there under the definition in force; 'changed': there with other limits; 'gone': only there. */
  readonly change: 'same' | 'changed' | 'new' | 'gone';
}

/** Returns the dropouts of both definitions in one list, in the order of their onsets; each is held against the one whose time it shares. */
export function compareLists(tried: readonly DefinedSite[], inForce: readonly DefinedSite[]): ListedDropout[] {
  const out: ListedDropout[] = [];
  for (const site of tried) {
    const others = inForce.find((other) => other.siteKey === site.siteKey)?.dropouts ?? [];
    const matched = new Set<DefinedDropout>();
    let from = 0;
    for (const dropout of site.dropouts) {
      while (from < others.length && (others[from]?.endMs ?? Infinity) <= dropout.firstLostMs) from += 1;
      let change: ListedDropout['change'] = 'new';
      for (let i = from; i < others.length; i += 1) {
        const other = others[i];
        if (other === undefined || other.firstLostMs >= dropout.endMs) break;
        matched.add(other);
        change = other.firstLostMs === dropout.firstLostMs && other.endMs === dropout.endMs && other.lostMs.mid === dropout.lostMs.mid ? 'same' : 'changed';
      }
      out.push({ siteKey: site.siteKey, dropout, change });
    }
    for (const other of others) if (!matched.has(other)) out.push({ siteKey: site.siteKey, dropout: other, change: 'gone' });
  }
  return out.sort((a, b) => a.dropout.firstLostMs - b.dropout.firstLostMs || (a.siteKey < b.siteKey ? -1 : 1));
}
