import type { IdentifierKind } from '../identity/identifier-heading.ts';
import { WithheldTally } from '../identity/withheld-tally.ts';
import type { Withheld } from '../model/import-report.ts';

/** So many different identifiers are remembered, to blank the same words elsewhere in the file. */
const MOST_SEEN = 4000;
/** What stands where a field says nothing. */
const NOTHING = /^(?:X|""|[\s^&~-]*|unknown|anonymous)$/i;

/** Gathers what the identifying fields of a file without columns (messages, resources, headers) hold: counted by field, and remembered. */
export class IdentityNotes {
  private readonly tally = new WithheldTally();
  private readonly seenTexts = new Set<string>();

  /** `isGuarded`: false where identifiers are kept on request; such fields are not kept even then, for nothing in a case holds them. */
  constructor(private readonly isGuarded: boolean) {}

  /** Takes one field that identifies a person, as text. */
  take(field: string, kind: IdentifierKind, text: string, line: number, done: Withheld['done'] = 'left out'): void {
    if (/^[X\s_]*$/.test(text) || NOTHING.test(text)) return;
    this.tally.add(field, kind, this.isGuarded ? done : done === 'replaced by a code' ? 'kept' : 'left out', line);
    if (kind !== 'age') this.see(text);
  }

  /** Remembers a word or number to be blanked wherever it stands. */
  see(text: string): void {
    if (!NOTHING.test(text) && this.seenTexts.size < MOST_SEEN) this.seenTexts.add(text);
  }

  get seen(): readonly string[] {
    return [...this.seenTexts];
  }

  entries(): Withheld[] {
    return this.tally.list();
  }
}
