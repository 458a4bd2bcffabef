import { SaxesParser } from 'saxes';
import { describe, expect, it } from 'vitest';

/* What is relied on in saxes 6.0.0: strict, streaming, and no entity of a document's own is ever put in. */

function parse(pieces: readonly string[]): { events: string[]; errors: string[] } {
  const events: string[] = [];
  const errors: string[] = [];
  const parser = new SaxesParser({ xmlns: false, position: false });
  parser.on('opentag', ({ name, attributes }) => events.push(`<${name} ${Object.entries(attributes).join(' ')}>`));
  parser.on('closetag', ({ name }) => events.push(`</${name}>`));
  parser.on('text', (text) => events.push(text));
  parser.on('doctype', () => events.push('doctype'));
  parser.on('error', (error) => errors.push(error.message));
  for (const piece of pieces) parser.write(piece);
  parser.close();
  return { events, errors };
}

describe('the XML parser', () => {
  it('gives the same events wherever the text is cut', () => {
    const text = '<a x="1&amp;2"><b>9&#55;</b><c/></a>';
    expect(parse([...text])).toEqual(parse([text]));
    expect(parse([text])).toEqual({ events: ['<a x,1&2>', '<b >', '97', '</b>', '<c >', '</c>', '</a>'], errors: [] });
  });

  it('reports a document type before anything of it is used, and never puts its entities in', () => {
    const { events, errors } = parse(['<!DOCTYPE a [<!ENTITY e "xxxx">]><a>&e;</a>']);
    expect(events[0]).toBe('doctype');
    expect(events.join('')).not.toContain('xxxx');
    expect(errors.join('')).toContain('undefined entity');
  });

  it.each([['<a><b></a>'], ['<a>'], ['<a b=1/>'], ['text'], ['<a/><b/>'], ['<a>\u0000</a>'], ['<a>&#0;</a>']])('reports what is not well-formed: %s', (text) => {
    expect(parse([text]).errors.length).toBeGreaterThan(0);
  });
});
