/** Returns what `work` makes of each item, in the order of the items, with at most `atOnce` under way. */
export async function inTurns<T, R>(items: readonly T[], atOnce: number, work: (item: T) => Promise<R>): Promise<R[]> {
  const results: R[] = [];
  const queue = items.entries();
  const turn = async (): Promise<void> => {
    for (const [i, item] of queue) results[i] = await work(item);
  };
  const turns = await Promise.allSettled(Array.from({ length: Math.max(1, atOnce) }, turn));
  for (const outcome of turns) if (outcome.status === 'rejected') throw outcome.reason;
  return results;
}
