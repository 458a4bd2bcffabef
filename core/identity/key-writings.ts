/** In what two writings of one identifier differ. */
export type WritingDifference = 'letter case' | 'blanks and marks' | 'leading zeros';

const DIFFERENCES: readonly WritingDifference[] = ['letter case', 'blanks and marks', 'leading zeros'];
/** Registers write numbers with up to so many figures. Common practice without source. */
const MOST_FIGURES = 14;

function fold(text: string, what: readonly WritingDifference[]): string {
  let out = text.normalize('NFKC').trim();
  if (what.includes('letter case')) out = out.toLowerCase();
  // Zeros first: without the marks between them, groups of figures could no longer be told apart.
  if (what.includes('leading zeros')) out = out.replace(/(?<!\d)0+(?=\d)/g, '');
  if (what.includes('blanks and marks')) out = out.replace(/[\s\p{P}\p{S}]+/gu, '');
  return out;
}

/**
 * Returns an identifier without what people write in more than one way: letter case, blanks and marks, leading zeros.
 * Equal results are a reason to ask, no proof: A-12 and A12 may be two cases.
 * Source  common practice without source; spreadsheets are known to take leading zeros away.
 */
export function foldedKey(text: string): string {
  return fold(text, DIFFERENCES);
}

/** Returns in what two identifiers of one `foldedKey` differ; empty for equal ones. */
export function writingDifferences(a: string, b: string): WritingDifference[] {
  if (a === b) return [];
  const found = DIFFERENCES.filter((one) => {
    const others = DIFFERENCES.filter((other) => other !== one);
    return fold(a, others) !== fold(b, others);
  });
  // Each difference alone may hide behind another: zeros before a mark, for one.
  return found.length > 0 ? found : ['blanks and marks'];
}

/**
 * Returns other ways in which an identifier may have been written, the most ordinary first, without the given one. For codes made
 * of numbers: there the writings themselves can no longer be compared.
 */
export function otherWritings(text: string): string[] {
  const given = text.trim();
  const plain = fold(given, ['blanks and marks']);
  const bases = new Set([given, plain]);
  const writings = new Set<string>();
  for (const base of bases) {
    const stripped = fold(base, ['leading zeros']);
    writings.add(base).add(stripped);
    const letters = /^\p{L}*/u.exec(stripped)?.[0] ?? '';
    const figures = stripped.slice(letters.length);
    if (!/^\d+$/.test(figures)) continue;
    for (let n = figures.length + 1; n <= MOST_FIGURES; n += 1) writings.add(letters + figures.padStart(n, '0'));
  }
  for (const one of [...writings]) writings.add(one.toLowerCase()).add(one.toUpperCase());
  writings.delete(given);
  return [...writings].filter((one) => one !== '');
}
