import { personInName } from './path-mask.ts';
import type { IdentifierKind } from './identifier-heading.ts';

/** What stands at the door: whether identifiers are kept, and how a code is made of one. */
export interface Door {
  readonly keepIdentifiers: boolean;
  /** Returns the same short code for the same identity, by a keyed hash; the key is the host's, the core has no crypto. */
  readonly pseudonymOf: (identity: string) => string;
}

/** Returns the name of a case whose files or rows name a person or a record: the same for the same identity. */
export function caseCode(identity: string, door: Door): string {
  return `case-${door.pseudonymOf(identity)}`;
}

const ENDING = /\.[A-Za-z][A-Za-z0-9]{0,4}$/;

/** Returns one part of a path as it may be shown, and what it said of a person; an ending (`.csv`) stays. */
export function shownName(name: string, door: Door): { readonly name: string; readonly kind: IdentifierKind | null } {
  if (door.keepIdentifiers) return { name, kind: null };
  const ending = ENDING.exec(name)?.[0] ?? '';
  const person = personInName(name.slice(0, name.length - ending.length));
  if (person === null) return { name, kind: null };
  return { name: ending === '' ? caseCode(person.identity, door) : `file-${door.pseudonymOf(person.identity)}${ending}`, kind: person.kind };
}

/** Returns a path as it may be shown: every part that looks like a person's name or record number is a code. */
export function shownPath(path: string, door: Door): string {
  return path
    .split('/')
    .map((part) => shownName(part, door).name)
    .join('/');
}
