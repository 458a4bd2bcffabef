/** So many different things are told apart; beyond, they are counted together. A hostile file must not fill the report. */
const MAX_KINDS = 40;
const MAX_WORD = 80;

/** Counts things by what they are called in the file, for one sentence of the report. */
export class Tally {
  private readonly counts = new Map<string, number>();

  add(what: string): void {
    const short = what.length > MAX_WORD ? `${what.slice(0, MAX_WORD)} …` : what;
    const key = this.counts.has(short) || this.counts.size < MAX_KINDS ? short : 'others';
    this.counts.set(key, (this.counts.get(key) ?? 0) + 1);
  }

  get total(): number {
    let sum = 0;
    for (const count of this.counts.values()) sum += count;
    return sum;
  }

  /** Returns "error 10, unknown 2", only of the kinds that `isMeant` accepts; '' when there are none. */
  words(isMeant: (what: string) => boolean = () => true): string {
    return [...this.counts]
      .filter(([what]) => isMeant(what))
      .map(([what, count]) => `${what === '' ? 'not named' : what} ${count}`)
      .join(', ');
  }
}
