/** Returns the sentence beneath a table that names the pages of the documentation which say how it is worked out. `pages` as under docs, without ending: "methods/dropout". */
export function methodWords(...pages: readonly string[]): string {
  return `Worked out as in ${pages.map((page) => `docs/${page}.md`).join(' and ')}.`;
}

/** Returns a note of a table with the sentence on its method after it. */
export function noteWithMethod(note: string, ...pages: readonly string[]): string {
  return note === '' ? methodWords(...pages) : `${note} ${methodWords(...pages)}`;
}
