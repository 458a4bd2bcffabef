/** Returns a count with the words that go with it: `countWords(1, 'row was', 'rows were')` is "1 row was". */
export function countWords(count: number, one: string, several: string): string {
  return `${count} ${count === 1 ? one : several}`;
}
