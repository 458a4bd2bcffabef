/** Returns resources as a FHIR Bundle in XML. */
export function resourceXml(resources: readonly object[]): string {
  const entries = resources.map((resource) => `  <entry>\n    <resource>${resourceElement(resource)}</resource>\n  </entry>`);
  return `<?xml version="1.0" encoding="UTF-8"?>\n<Bundle xmlns="http://hl7.org/fhir">\n  <type value="collection"/>\n${entries.join('\n')}\n</Bundle>\n`;
}

function resourceElement(resource: object): string {
  const { resourceType, ...rest } = resource as Record<string, unknown>;
  return `<${String(resourceType)}>${parts(rest)}</${String(resourceType)}>`;
}

function parts(node: Readonly<Record<string, unknown>>): string {
  return Object.entries(node).map(([name, value]) => (Array.isArray(value) ? value.map((one) => element(name, one)).join('') : element(name, value))).join('');
}

function element(name: string, value: unknown): string {
  if (value === undefined) return '';
  if (typeof value === 'object' && value !== null) return `<${name}>${parts(value as Record<string, unknown>)}</${name}>`;
  return `<${name} value="${String(value).replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('"', '&quot;')}"/>`;
}
