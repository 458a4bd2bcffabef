import { systemNamed, type Coding } from '../coded-name.ts';
import { nodeAt, nodesAt, textAt, type FhirNode } from './element.ts';

/** Returns the codings of a CodeableConcept (or the one of a Coding-like node). */
export function codingsOf(concept: FhirNode | null): Coding[] {
  return nodesAt(concept, 'coding').map((coding) => ({ system: systemNamed(textAt(coding, 'system')), code: textAt(coding, 'code'), display: textAt(coding, 'display') }));
}

/** Returns a concept in words: its text, else the first display, else the first code. */
export function wordsOfConcept(concept: FhirNode | null): string {
  const text = textAt(concept, 'text');
  if (text !== '') return text;
  const codings = codingsOf(concept);
  return codings.find((coding) => coding.display !== '')?.display ?? codings.find((coding) => coding.code !== '')?.code ?? '';
}

/**
 * Returns what makes two references the same: `Encounter/7` for relative and absolute addresses, the whole of a `urn:`, or
 * the identifier where there is no address; '' for a reference that only displays a name.
 */
export function referenceKey(reference: FhirNode | null): string {
  const address = textAt(reference, 'reference');
  if (address !== '') return addressKey(address);
  const identifier = nodeAt(reference, 'identifier');
  const value = textAt(identifier, 'value');
  return value === '' ? '' : `identifier ${textAt(identifier, 'system')}|${value}`;
}

/** Returns the key of an address: type and id without server and version. */
export function addressKey(address: string): string {
  if (/^urn:/i.test(address) || address.startsWith('#')) return address;
  const parts = address.replace(/\|.*$/, '').replace(/\/_history\/.*$/, '').split('/');
  return parts.slice(-2).join('/');
}
