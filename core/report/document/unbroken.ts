/** Returns text in which a number stays on one line with its unit. */
export function unbroken(text: string): string {
  return text.replace(/(\d) (?=(?:s|min|h|%|points?|mmHg|µg|mg|units)(?![\p{L}\d]))/gu, '$1\u00a0');
}
