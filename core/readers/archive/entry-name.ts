/** Bytes 128 to 255 in the code page that zip archives use for names not marked as UTF-8. Source: APPNOTE.TXT 6.3.10, appendix D (code page 437). */
const CODE_PAGE_437 =
  'ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜ¢£¥₧ƒáíóúñÑªº¿⌐¬½¼¡«»░▒▓│┤╡╢╖╕╣║╗╝╜╛┐└┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u00a0';

/** Characters that would hide or turn round what a name says: controls, and the marks that change the direction of text. */
const DECEITFUL = /[\p{Cc}\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]/gu;

/** Returns the text of an entry's name as the archive has it. */
export function decodeEntryName(bytes: Uint8Array, isUtf8: boolean): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    if (isUtf8) return new TextDecoder('utf-8').decode(bytes);
    let out = '';
    for (const byte of bytes) out += byte < 128 ? String.fromCharCode(byte) : (CODE_PAGE_437[byte - 128] ?? '');
    return out;
  }
}

/** Returns a name from outside as it may stand in a report: every deceitful character shown as U+FFFD. */
export function plainName(name: string): string {
  return name.replace(DECEITFUL, '\ufffd');
}

/** Returns the path of an entry below its archive, '/' between parts, without any part that leads elsewhere; '' when nothing is left. */
export function entryPath(name: string): string {
  return plainName(name)
    .split(/[\\/]/)
    .map((part) => part.trim())
    .filter((part) => part !== '' && part !== '.' && part !== '..')
    .join('/');
}

/** Returns whether an entry is one that a folder would hide, or that a packing program added for itself. */
export function isHiddenEntry(path: string): boolean {
  return path.split('/').some((part) => part.startsWith('.') || part === '__MACOSX');
}
