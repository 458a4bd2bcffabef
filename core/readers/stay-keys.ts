/**
 * Keeps the cases of one file apart by the stays (encounters, visits) and persons that its entries name. A stay is a case; what
 * names only a person belongs to that person's stay where the file has exactly one, and what names neither to the only case.
 */
export class StayKeys {
  private readonly staysOf = new Map<string, Set<string>>();
  private readonly aliases = new Map<string, string>();
  private readonly seen = new Set<string>();

  /** Notes one entry and returns the key under which to gather it; '' when it names neither. */
  see(stay: string, person: string): string {
    if (stay !== '' && person !== '') this.staysOf.set(person, (this.staysOf.get(person) ?? new Set<string>()).add(stay));
    const key = stay !== '' ? stay : person;
    this.seen.add(key);
    return key;
  }

  /** Says that two keys are one. */
  alias(from: string, to: string): void {
    this.aliases.set(from, to);
  }

  /** Returns the key that another stands for. */
  canonical(key: string): string {
    return this.aliases.get(key) ?? key;
  }

  /** Whether any entry named a stay or a person. */
  get hasKeys(): boolean {
    return [...this.seen].some((key) => key !== '');
  }

  /** Returns the case of each key under which entries were gathered. Asked once everything was seen. */
  cases(): ReadonlyMap<string, string> {
    const staysOf = new Map<string, Set<string>>();
    for (const [person, stays] of this.staysOf) {
      const own = staysOf.get(this.canonical(person)) ?? new Set<string>();
      for (const stay of stays) own.add(this.canonical(stay));
      staysOf.set(this.canonical(person), own);
    }
    const named = new Set([...this.seen].filter((key) => key !== '').map((key) => this.canonical(key)));
    const stayOf = (key: string): string => {
      const [only, ...more] = staysOf.get(key) ?? [];
      return only !== undefined && more.length === 0 ? only : key;
    };
    const all = new Set([...named].map(stayOf));
    const [first = ''] = all;
    return new Map([...this.seen].map((key) => [key, key === '' ? (all.size === 1 ? first : '') : stayOf(this.canonical(key))]));
  }
}
