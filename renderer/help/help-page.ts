/** A run of text of a page, as the build made it from Markdown. */
export type HelpInline =
  | string
  | { readonly kind: 'strong' | 'em' | 'span'; readonly content: readonly HelpInline[] }
  | { readonly kind: 'code'; readonly text: string }
  | { readonly kind: 'break' }
  /** A picture is not taken along: its words are. */
  | { readonly kind: 'picture'; readonly text: string }
  /** Another page of the help; `anchor` null: its beginning. */
  | { readonly kind: 'link'; readonly content: readonly HelpInline[]; readonly path: string; readonly anchor: string | null }
  /** What is not in the help: shown as words and address, never opened. */
  | { readonly kind: 'outside'; readonly content: readonly HelpInline[]; readonly address: string };

export type HelpBlock =
  | { readonly kind: 'heading'; readonly level: number; readonly id: string; readonly content: readonly HelpInline[] }
  /** `id` is its anchor where it begins in bold. */
  | { readonly kind: 'paragraph'; readonly id: string | null; readonly content: readonly HelpInline[] }
  | { readonly kind: 'list'; readonly isOrdered: boolean; readonly start: number; readonly items: readonly (readonly HelpBlock[])[] }
  | { readonly kind: 'table'; readonly align: readonly ('left' | 'right' | 'center')[]; readonly head: readonly (readonly HelpInline[])[]; readonly rows: readonly (readonly (readonly HelpInline[])[])[] }
  | { readonly kind: 'code'; readonly text: string }
  | { readonly kind: 'quote'; readonly content: readonly HelpBlock[] }
  | { readonly kind: 'rule' };

/** A page of the documentation as it is read inside the window. */
export interface HelpPage {
  /** From the root of the repository: "docs/methods/dropout.md". */
  readonly path: string;
  /** The heading it stands under in the contents. */
  readonly group: string;
  readonly title: string;
  readonly blocks: readonly HelpBlock[];
}

/** Gives the pages; they are no part of what the window loads at its start. Rejects where the file of the pages cannot be read. */
export type LoadHelpPages = () => Promise<readonly HelpPage[]>;
