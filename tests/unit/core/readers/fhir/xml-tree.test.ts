import { describe, expect, it } from 'vitest';
import { readXmlResources } from '../../../../../core/readers/fhir/xml-tree.ts';

function read(text: string): unknown {
  const result = readXmlResources(text);
  if (!result.ok) throw new Error(result.failure.message);
  return result.value.map(({ node, line, fullUrl }) => ({ node: JSON.parse(JSON.stringify(node)) as unknown, line, fullUrl }));
}

describe('FHIR in XML', () => {
  it('is what JSON would have: primitives as text, repeats as lists, contained resources with their type', () => {
    const xml = `<?xml version="1.0"?>\n<!-- > -->\n<Observation xmlns="http://hl7.org/fhir"><text><div xmlns="http://www.w3.org/1999/xhtml"><p>no &lt; matter</p></div></text>
<contained><Device><id value="d"/></Device></contained><code><coding><code value="1"/></coding><coding><code value='2 &amp; &#x33;'/></coding></code><valueQuantity><value value="6"/></valueQuantity></Observation>`;
    expect(read(xml)).toEqual([
      {
        fullUrl: '',
        line: 3,
        node: {
          xmlns: 'http://hl7.org/fhir',
          resourceType: 'Observation',
          text: {},
          contained: { id: 'd', resourceType: 'Device' },
          code: { coding: [{ code: '1' }, { code: '2 & 3' }] },
          valueQuantity: { value: '6' },
        },
      },
    ]);
  });

  it('gives the entries of a Bundle one by one', () => {
    expect(read('<Bundle xmlns="http://hl7.org/fhir">\n<entry><fullUrl value="urn:x"/>\n<resource><Patient/></resource></entry>\n<entry/></Bundle>')).toEqual([
      { node: { resourceType: 'Patient' }, line: 2, fullUrl: 'urn:x' },
      { node: {}, line: 4, fullUrl: '' },
    ]);
  });

  it.each([
    ['a document type', '<!DOCTYPE x [<!ENTITY a "b">]>\n<Observation/>', 'document type', 1],
    ['a tag that closes nothing', '<Observation>\n</Patient>', '</Patient> closes nothing', 2],
    ['an element never closed', '<Observation>\n<code>', '<code> of line 2 is never closed', 2],
    ['a lone <', '<Observation>\n< </Observation>', 'a "<" begins no tag', 2],
    ['a comment never closed', '<Observation/>\n<!-- x', 'document type', 2],
    ['nesting without end', '<a>'.repeat(100_000), 'nested deeper than 128 levels', 1],
    ['nothing', 'x', 'there is no element', 1],
  ])('refuses %s and names the line', (_, xml, words, line) => {
    const result = readXmlResources(xml);
    expect(result.ok).toBe(false);
    if (!result.ok) {
      expect(result.failure.message).toContain(words);
      expect(result.failure.line).toBe(line);
    }
  });

  it('expands no entity but the five of XML and characters by number', () => {
    expect(read('<Observation><status value="&lol;&#0;&#99999999;&quot;"/></Observation>')).toMatchObject([{ node: { status: '&lol;\ufffd&#99999999;"' } }]);
  });

  // Read in the square of its length this takes hours: the runner's own limit ends it.
  it('takes a million unclosed comments in its stride', () => {
    expect(readXmlResources('<?'.repeat(1_000_000)).ok).toBe(false);
  });
});
