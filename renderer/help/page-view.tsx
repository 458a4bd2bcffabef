import type { JSX } from 'react';
import { Button } from '../widgets/button.tsx';
import type { HelpBlock, HelpInline, HelpPage } from './help-page.ts';

export interface PageViewProps {
  readonly page: HelpPage;
  /** The part that was asked for, marked; null for none. */
  readonly anchor: string | null;
  readonly onLink: (path: string, anchor: string | null) => void;
}

type OnLink = PageViewProps['onLink'];

/** Returns a page of the help. Elements are made from the tree alone: no text becomes markup. */
export function PageView({ page, anchor, onLink }: PageViewProps): JSX.Element {
  // Parts of a page have no names of their own and never change places.
  return <article className="help-page">{page.blocks.map((block, i) => <Block key={i} block={block} anchor={anchor} onLink={onLink} />)}</article>;
}

/** Returns the id that an anchor of a page has in the window. */
export function anchorId(anchor: string): string {
  return `help-${anchor}`;
}

function Block({ block, anchor, onLink }: { readonly block: HelpBlock; readonly anchor: string | null; readonly onLink: OnLink }): JSX.Element {
  switch (block.kind) {
    case 'heading': {
      // The panel itself has the heading above: a page begins one level lower.
      const Heading = (['h3', 'h4', 'h5', 'h6'] as const)[Math.min(3, block.level - 1)] ?? 'h6';
      return <Heading id={anchorId(block.id)} tabIndex={-1} className={block.id === anchor ? 'help-asked' : undefined}><Inlines content={block.content} onLink={onLink} /></Heading>;
    }
    case 'paragraph':
      return <p id={block.id === null ? undefined : anchorId(block.id)} tabIndex={block.id === null ? undefined : -1} className={block.id !== null && block.id === anchor ? 'help-asked' : undefined}><Inlines content={block.content} onLink={onLink} /></p>;
    case 'list': {
      const entries = block.items.map((parts, i) => <li key={i}>{parts.map((part, j) => <Block key={j} block={part} anchor={anchor} onLink={onLink} />)}</li>);
      return block.isOrdered ? <ol start={block.start}>{entries}</ol> : <ul>{entries}</ul>;
    }
    case 'table':
      return (
        <table className="help-table">
          <thead><tr>{block.head.map((cell, i) => <th key={i} scope="col" className={sideOf(block, i)}><Inlines content={cell} onLink={onLink} /></th>)}</tr></thead>
          <tbody>{block.rows.map((row, i) => <tr key={i}>{row.map((cell, j) => <td key={j} className={sideOf(block, j)}><Inlines content={cell} onLink={onLink} /></td>)}</tr>)}</tbody>
        </table>
      );
    case 'code':
      return <pre className="help-code"><code>{block.text}</code></pre>;
    case 'quote':
      return <blockquote>{block.content.map((part, i) => <Block key={i} block={part} anchor={anchor} onLink={onLink} />)}</blockquote>;
    case 'rule':
      return <hr />;
  }
}

function sideOf(block: HelpBlock & { readonly kind: 'table' }, column: number): string | undefined {
  return block.align[column] === 'right' ? 'align-right' : undefined;
}

function Inlines({ content, onLink }: { readonly content: readonly HelpInline[]; readonly onLink: OnLink }): JSX.Element {
  return <>{content.map((part, i) => <Inline key={i} part={part} onLink={onLink} />)}</>;
}

function Inline({ part, onLink }: { readonly part: HelpInline; readonly onLink: OnLink }): JSX.Element {
  if (typeof part === 'string') return <>{part}</>;
  switch (part.kind) {
    case 'strong':
      return <strong><Inlines content={part.content} onLink={onLink} /></strong>;
    case 'em':
      return <em><Inlines content={part.content} onLink={onLink} /></em>;
    case 'span':
      return <Inlines content={part.content} onLink={onLink} />;
    case 'code':
      return <code>{part.text}</code>;
    case 'break':
      return <br />;
    case 'picture':
      return <em>{part.text} (picture: in the folder of the documentation)</em>;
    case 'link':
      return <Button look="link" className="help-link" onClick={() => onLink(part.path, part.anchor)}><Inlines content={part.content} onLink={onLink} /></Button>;
    case 'outside':
      return <><Inlines content={part.content} onLink={onLink} /> <span className="soft">({part.address})</span></>;
  }
}
