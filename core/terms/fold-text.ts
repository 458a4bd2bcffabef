/**
 * Returns `text` in the form in which terms are compared: lower case, without accents, with one spelling for each of
 * the many dashes, primes, micro signs and raised or lowered digits, and with dotted abbreviations closed (`i.v.` → `iv`).
 * Both micro signs become `mc`, so that `µg` reads as `mcg` and a lone `µ` reads as nothing.
 */
export function foldText(text: string): string {
  let folded = text;
  if (NOT_ASCII.test(folded)) {
    folded = folded.replace(/[ºª]/g, '°').normalize('NFKD').replace(/\p{M}+/gu, '');
    folded = folded.replace(SPECIAL, (sign) => SPECIAL_AS[sign] ?? ' ');
  }
  folded = folded.toLowerCase();
  if (folded.includes('.')) folded = folded.replace(/(?<![a-z0-9])([a-z])\.\s?([a-z])(?:\.|(?![a-z0-9]))(?:([a-z])(?:\.|(?![a-z0-9])))?/g, '$1$2$3');
  if (folded.includes('/')) folded = folded.replace(/\bd\/c(?:'?d)?\b/g, 'discontinued').replace(/\bw\/o\b/g, 'without');
  return folded;
}

const NOT_ASCII = /[^\x00-\x7f]/;
const SPECIAL = /[ßøØæÆœŒłŁıμ×·⋅•–—‑−‐⁄→⇒↑↓’‘`´ ]/g;
const SPECIAL_AS: Readonly<Record<string, string>> = {
  ß: 'ss', ø: 'o', Ø: 'o', æ: 'ae', Æ: 'ae', œ: 'oe', Œ: 'oe', ł: 'l', Ł: 'l', ı: 'i', μ: 'mc', '×': ' x ', '·': '.', '⋅': '.', '•': ' ',
  '–': '-', '—': '-', '‑': '-', '−': '-', '‐': '-', '⁄': '/', '→': '->', '⇒': '->', '↑': ' up ', '↓': ' down ', '’': "'", '‘': "'", '`': "'", '´': "'", ' ': ' ',
};

/** Returns the words of a folded text: runs of letters (Latin, Greek, Cyrillic), digits and `%`. */
export function wordsOf(folded: string): string[] {
  return folded.match(/[a-z0-9%\u0370-\u052f]+/g) ?? [];
}

/** Returns the spellings in which a dictionary phrase is looked up: as folded, and with ä, ö, ü written ae, oe, ue. */
export function spellingsOf(phrase: string): string[] {
  const plain = foldText(phrase);
  if (!/[äöüÄÖÜ]/.test(phrase)) return [plain];
  return [plain, foldText(phrase.replace(/[äÄ]/g, 'ae').replace(/[öÖ]/g, 'oe').replace(/[üÜ]/g, 'ue'))];
}
