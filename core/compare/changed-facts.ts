/** Returns "name: before → after" for every entry that differs; '–' stands for none. Sorted by name. */
export function changedFacts(before: Readonly<Record<string, unknown>>, after: Readonly<Record<string, unknown>>): string[] {
  const names = [...new Set([...Object.keys(before), ...Object.keys(after)])].sort();
  return names.flatMap((name) => {
    const was = wordsOf(before[name]);
    const is = wordsOf(after[name]);
    return was === is ? [] : [`${name}: ${was} → ${is}`];
  });
}

function wordsOf(value: unknown): string {
  if (value === undefined || value === null || value === '') return '–';
  return typeof value === 'object' ? JSON.stringify(value) : String(value);
}
