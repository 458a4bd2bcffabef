/** So much of a file is looked at to tell what it is. */
const LOOKED_AT_BYTES = 65_536;

/**
 * Returns the first bytes of a file as text in which ASCII words can be looked for, whatever the encoding: one character a byte,
 * zero bytes (of UTF-16) and a byte-order mark left out.
 */
export function asciiHead(head: Uint8Array): string {
  return new TextDecoder('latin1').decode(head.subarray(0, LOOKED_AT_BYTES).filter((byte) => byte !== 0)).replace(/^(?:\u00ef\u00bb\u00bf|\u00ff\u00fe|\u00fe\u00ff)/, '');
}
