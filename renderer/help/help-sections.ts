import type { HelpBlock, HelpInline, HelpPage } from './help-page.ts';

/** A part of a page with an anchor of its own: a heading, or a paragraph that begins in bold, and what stands beneath it. */
export interface HelpSection {
  readonly anchor: string;
  readonly title: string;
  /** Without marks of any kind. */
  readonly text: string;
}

/** Returns the parts of a page, in its order. The first is the page's title. */
export function sectionsOf(page: Pick<HelpPage, 'blocks'>): HelpSection[] {
  const sections: { anchor: string; title: string; text: string }[] = [];
  for (const block of page.blocks) {
    const start = startOf(block);
    if (start !== null) sections.push({ ...start, text: '' });
    const last = sections.at(-1);
    if (last !== undefined && block.kind !== 'heading') last.text = `${last.text} ${blockText(block)}`.trim();
  }
  return sections;
}

function startOf(block: HelpBlock): Pick<HelpSection, 'anchor' | 'title'> | null {
  if (block.kind === 'heading') return { anchor: block.id, title: inlineText(block.content) };
  if (block.kind === 'paragraph' && block.id !== null) return { anchor: block.id, title: inlineText(block.content.slice(0, 1)).replace(/\.$/, '') };
  return null;
}

/** Returns the words of a run of text. */
export function inlineText(content: readonly HelpInline[]): string {
  return content.map((part) => (typeof part === 'string' ? part : part.kind === 'break' ? ' ' : 'text' in part ? part.text : inlineText(part.content))).join('');
}

function blockText(block: HelpBlock): string {
  switch (block.kind) {
    case 'heading':
    case 'paragraph':
      return inlineText(block.content);
    case 'list':
      return block.items.flatMap((parts) => parts.map(blockText)).join(' ');
    case 'table':
      return [block.head, ...block.rows].flatMap((row) => row.map(inlineText)).join(' ');
    case 'code':
      return block.text;
    case 'quote':
      return block.content.map(blockText).join(' ');
    case 'rule':
      return '';
  }
}
