/**
 * Returns what a clock offset does, in words: "taken as 60 s behind, 60 s were added to each of its times".
 * Units    ms in; seconds with up to three decimals out.
 */
export function clockOffsetWords(offsetMs: number): string {
  const seconds = Math.abs(offsetMs) / 1000;
  return offsetMs < 0 ? `taken as ${seconds} s ahead, ${seconds} s were taken off each of its times` : `taken as ${seconds} s behind, ${seconds} s were added to each of its times`;
}
