import { fail, ok, type Result } from '../../base/result.ts';
import type { FhirNode } from './element.ts';
import { MAX_DEPTH } from './json-slicer.ts';

/** A resource cut out of XML, as JSON would have it, with the line on which it begins. */
export interface XmlResource {
  readonly node: FhirNode;
  readonly fullUrl: string;
  readonly line: number;
}

interface OpenElement {
  readonly name: string;
  readonly line: number;
  readonly node: Record<string, unknown>;
  /** The text of its `value` attribute, which only primitive elements have. */
  readonly primitive: string | null;
}

const ENTITIES: Readonly<Record<string, string>> = { lt: '<', gt: '>', amp: '&', quot: '"', apos: "'" };

/** Comment, CDATA, processing instruction, tag; a `<` that begins none of them. */
const MARKUP = /<!--[\s\S]*?-->|<!\[CDATA\[[\s\S]*?\]\]>|<\?[\s\S]*?\?>|<(\/?)([\w.-]+(?::[\w.-]+)?)((?:\s+[\w:.-]+\s*=\s*(?:"[^"<]*"|'[^'<]*'))*)\s*(\/?)>|</g;
const ATTRIBUTE = /([\w:.-]+)\s*=\s*(?:"([^"]*)"|'([^']*)')/g;

/**
 * Returns the resources of a FHIR document in XML as JSON would have them: elements by name, repeated ones as lists, the
 * `value` of a primitive element as its text. The entries of a Bundle are given one by one, without the Bundle.
 * Shape   text between tags, narratives and comments are left out; a document type declaration is refused, so that no entity
 *         of its own can be expanded.
 * Source  HL7 FHIR R4, XML representation (http://hl7.org/fhir/R4/xml.html), from memory; XML 1.0.
 */
export function readXmlResources(text: string): Result<readonly XmlResource[]> {
  const resources: XmlResource[] = [];
  const open: OpenElement[] = [];
  let line = 1;
  let counted = 0;
  const lineAt = (at: number): number => {
    for (; counted < at; counted += 1) if (text.charCodeAt(counted) === 10) line += 1;
    return line;
  };
  const broken = (at: number, what: string): Result<readonly XmlResource[]> =>
    fail({ code: 'broken-xml', message: `The XML is not well-formed: ${what}.`, line: lineAt(at), remedy: 'Export the file again; check that the export was finished.' });
  let isClosed = false;
  for (const found of text.matchAll(MARKUP)) {
    const [markup, slash = '', name = '', attributes = '', selfClosing = ''] = found;
    if (markup === '<') return broken(found.index, text.startsWith('<!', found.index) ? 'document type declarations are not taken in' : 'a "<" begins no tag');
    if (name === '') continue;
    if (isClosed) return broken(found.index, 'something follows the outermost element');
    if (slash === '/') {
      const closing = open.pop();
      if (closing === undefined || closing.name !== name) return broken(found.index, `</${name}> closes nothing that is open`);
      isClosed = put(closing, open, resources);
      continue;
    }
    if (open.length >= MAX_DEPTH * 2) return broken(found.index, `elements are nested deeper than ${MAX_DEPTH * 2} levels`);
    const node: Record<string, unknown> = Object.create(null) as Record<string, unknown>; // a name such as __proto__ must be a plain key
    let primitive: string | null = null;
    for (const [, key = '', double, single] of attributes.matchAll(ATTRIBUTE)) {
      const value = decodeEntities(double ?? single ?? '');
      if (key === 'value') primitive = value;
      else node[key] = value;
    }
    const element = { name, line: lineAt(found.index), node, primitive };
    if (selfClosing === '/') isClosed = put(element, open, resources);
    else open.push(element);
  }
  const unclosed = open.at(-1);
  if (unclosed !== undefined || !isClosed) return broken(text.length, unclosed === undefined ? 'there is no element' : `<${unclosed.name}> of line ${unclosed.line} is never closed`);
  return ok(resources);
}

/** Puts a closed element into the one around it; a resource becomes a node with its type. Returns whether it was the outermost. */
function put(element: OpenElement, open: readonly OpenElement[], resources: XmlResource[]): boolean {
  const around = open.at(-1);
  const { name, node } = element;
  const isResource = /^[A-Z]/.test(name);
  if (around === undefined) {
    if (isResource && name !== 'Bundle') resources.push({ node: { ...node, resourceType: name }, fullUrl: '', line: element.line });
    return true;
  }
  if (isResource) {
    // Inside <resource> or <contained>: the wrapper is the resource itself.
    Object.assign(around.node, node, { resourceType: name });
    return false;
  }
  if (name === 'entry' && open.length === 1 && around.name === 'Bundle') {
    const { resource, fullUrl } = node;
    // Built by this function: a child element is a plain node.
    resources.push({ node: typeof resource === 'object' && resource !== null && !Array.isArray(resource) ? (resource as FhirNode) : {}, fullUrl: typeof fullUrl === 'string' ? fullUrl : '', line: element.line });
    return false;
  }
  if (name === 'div') return false;
  const value = element.primitive ?? node;
  const before = around.node[name];
  if (before === undefined) around.node[name] = value;
  else if (Array.isArray(before)) before.push(value);
  else around.node[name] = [before, value];
  return false;
}

function decodeEntities(text: string): string {
  return text.replace(/&(?:#(\d{1,7})|#x([\da-f]{1,6})|(\w+));/gi, (whole, decimal: string | undefined, hex: string | undefined, name: string | undefined) => {
    if (name !== undefined) return ENTITIES[name] ?? whole;
    const code = decimal === undefined ? Number.parseInt(hex ?? '', 16) : Number(decimal);
    return code > 0 && code <= 0x10ffff ? String.fromCodePoint(code) : '\ufffd';
  });
}
