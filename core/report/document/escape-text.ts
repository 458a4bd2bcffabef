/** What XML 1.0 cannot hold at all: control characters beside tab and line ends, and lone surrogates. */
const NOT_XML = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/gu;

/** Returns text as it may stand in HTML and SVG, between tags and inside double quotes. */
export function escapeText(text: string): string {
  return text.replace(NOT_XML, '\ufffd').replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;');
}
