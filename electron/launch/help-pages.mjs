/**
 * Makes the pages of the documentation that are read inside the window: Markdown to a tree of plain values, at build time.
 * The window draws the tree; no HTML is made, taken or trusted. What a page holds beyond the kinds below stops the build
 * with the name of the page, so that nothing of it is lost in silence.
 */
import { readFileSync, readdirSync } from 'node:fs';
import { join, posix } from 'node:path';
import { Lexer } from 'marked';
import { HELP_GROUPS } from './help-contents.mjs';

/** The name under which the page imports them. */
const MODULE_NAME = 'virtual:help-pages';

/** Returns the plugin of the page's build that gives the pages as one module, which is loaded when help is first opened. */
export function helpPagesPlugin(root) {
  const id = `\0${MODULE_NAME}`;
  return {
    name: 'help-pages',
    resolveId: (name) => (name === MODULE_NAME ? id : null),
    // Parsing a string is several times faster than parsing the same as a literal.
    load: (name) => (name === id ? `export default JSON.parse(${JSON.stringify(JSON.stringify(helpPages(root)))});` : null),
  };
}

/** Returns every page, in the order of the contents. */
export function helpPages(root) {
  const named = new Set(HELP_GROUPS.flatMap(({ files = [] }) => files));
  const groups = HELP_GROUPS.map(({ group, folder, files = [] }) => {
    const found = folder === undefined ? [] : readdirSync(join(root, folder)).filter((name) => name.endsWith('.md')).map((name) => `${folder}/${name}`).filter((path) => !named.has(path));
    return { group, files, found };
  });
  const known = new Set(groups.flatMap(({ files, found }) => [...files, ...found]));
  return groups.flatMap(({ group, files, found }) => {
    const page = (path) => helpPage(path, group, readFileSync(join(root, path), 'utf8'), known);
    return [...files.map(page), ...found.map(page).sort((a, b) => (sortedAs(a) < sortedAs(b) ? -1 : 1))];
  });
}

/** What a page is sorted by: its title without an article, so that it is found where a reader looks. */
function sortedAs({ title }) {
  return title.replace(/^(An?|The) /, '').toLowerCase();
}

/** Returns text of a page as it is set in print: typographic apostrophes and quotation marks. */
function typeset(text) {
  return text.replace(/(?<=\p{L})'(?=\p{L})/gu, '’').replace(/"([^"]*)"/g, '“$1”');
}

/** Returns one page of Markdown as a tree. `known` are the paths of the pages that links may lead to. Throws where the page holds what cannot be shown. */
export function helpPage(path, group, markdown, known) {
  const anchors = new Map();
  const tokens = Lexer.lex(markdown, { gfm: true });
  const fail = (what) => {
    throw new Error(`${path}: ${what} cannot be shown in the window`);
  };

  const inlines = (list) => (list ?? []).map((token) => {
    switch (token.type) {
      case 'text':
      case 'escape':
        if (/&(#\d+|#x[\da-f]+|[a-z]+);/i.test(token.text)) fail(`the entity in “${token.text}”`);
        return token.tokens === undefined ? typeset(token.text) : { kind: 'span', content: inlines(token.tokens) };
      case 'strong':
      case 'em':
        return { kind: token.type, content: inlines(token.tokens) };
      case 'codespan':
        return { kind: 'code', text: token.text };
      case 'br':
        return { kind: 'break' };
      case 'link':
        return link(path, token.href, inlines(token.tokens), known);
      case 'image':
        return { kind: 'picture', text: token.text };
      default:
        return fail(`“${token.raw.trim().slice(0, 60)}” (${token.type})`);
    }
  });

  const blocks = (list) => list.flatMap((token) => {
    switch (token.type) {
      case 'space':
        return [];
      case 'heading':
        return [{ kind: 'heading', level: token.depth, id: anchorOf(token, token.tokens, anchors), content: inlines(token.tokens) }];
      case 'paragraph': {
        const [lead] = token.tokens;
        const id = lead?.type === 'strong' ? anchorOf(token, lead.tokens, anchors) : null;
        return [{ kind: 'paragraph', id, content: inlines(token.tokens) }];
      }
      case 'text':
        return [{ kind: 'paragraph', id: null, content: inlines(token.tokens) }];
      case 'list':
        return [{ kind: 'list', isOrdered: token.ordered, start: token.ordered ? Number(token.start) : 1, items: token.items.map((one) => (one.task ? fail('a list of tasks') : blocks(one.tokens))) }];
      case 'table':
        return [{
          kind: 'table',
          align: token.align.map((side) => side ?? 'left'),
          head: token.header.map((cell) => inlines(cell.tokens)),
          rows: token.rows.map((row) => row.map((cell) => inlines(cell.tokens))),
        }];
      case 'code':
        return [{ kind: 'code', text: token.text.replace(/\n$/, '') }];
      case 'blockquote':
        return [{ kind: 'quote', content: blocks(token.tokens) }];
      case 'hr':
        return [{ kind: 'rule' }];
      default:
        return fail(`“${token.raw.trim().slice(0, 60)}” (${token.type})`);
    }
  });

  // Headings first: their anchors are those that links on other sites know, whatever a paragraph begins with.
  for (const token of tokens) if (token.type === 'heading') anchorOf(token, token.tokens, anchors);
  const content = blocks(tokens);
  const [first] = content;
  if (first?.kind !== 'heading' || first.level !== 1) fail('a page without a title in its first line');
  // Where it is programmed is asked for last by those who read here.
  const code = content.findIndex((block) => block.kind === 'paragraph' && typeof block.content[0] === 'string' && block.content[0].startsWith('Code:'));
  const blocksInOrder = code === -1 ? content : [...content.slice(0, code), ...content.slice(code + 1), { kind: 'rule' }, content[code]];
  return { path, group, title: typeset(rawText(tokens.find((token) => token.type === 'heading').tokens)), blocks: blocksInOrder };
}

/** Returns the anchor of a heading, or of a paragraph that begins in bold; the same token has the same anchor. */
function anchorOf(token, inner, anchors) {
  for (const [anchor, owner] of anchors) if (owner === token) return anchor;
  const base = rawText(inner).toLowerCase().trim().replace(/[^\p{L}\p{N}\s_-]/gu, '').replace(/\s+/g, '-');
  let anchor = base;
  for (let count = 1; anchors.has(anchor); count += 1) anchor = `${base}-${count}`;
  anchors.set(anchor, token);
  return anchor;
}

function rawText(tokens) {
  return tokens.map((token) => (token.tokens === undefined ? token.text : rawText(token.tokens))).join('');
}

/** Returns a link inside the pages, or what leads out of them as words and address: the window opens no network. */
function link(from, href, content, known) {
  if (/^[a-z][a-z+.-]*:/i.test(href)) return { kind: 'outside', content, address: href };
  const [target = '', anchor] = href.split('#');
  const path = target === '' ? from : posix.normalize(posix.join(posix.dirname(from), target));
  if (known.has(path)) return { kind: 'link', content, path, anchor: anchor ?? null };
  return { kind: 'outside', content, address: path };
}
