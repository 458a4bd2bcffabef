/*
 * Time-stamped annotation lists of EDF+. Source: Kemp and Olivan 2003, as summed up in handbook 8.6, details from memory.
 */

const SEPARATOR = 20;
const DURATION = 21;
const MAX_TEXT_BYTES = 4000;

export interface EdfAnnotation {
  /** Seconds after the start of the file. */
  readonly onsetS: number;
  readonly durationS: number | null;
  readonly text: string;
}

export interface AnnotationLists {
  /** When the data record begins: the onset of its first list; null when that is missing. */
  readonly recordOnsetS: number | null;
  readonly annotations: readonly EdfAnnotation[];
  /** Lists that follow no rule. */
  readonly nBroken: number;
}

/**
 * Returns what the annotation signal of one data record says. Each list is an onset (`+12.5`), perhaps byte 21 and a duration,
 * byte 20, texts that each end with byte 20, and byte 0. The first list's empty first text keeps the record's time.
 */
export function readAnnotations(bytes: Uint8Array): AnnotationLists {
  const annotations: EdfAnnotation[] = [];
  let recordOnsetS: number | null = null;
  let nBroken = 0;
  let isFirst = true;
  for (let from = 0; from < bytes.length; ) {
    let end = bytes.indexOf(0, from);
    if (end === -1) end = bytes.length;
    if (end > from) {
      const list = readList(bytes.subarray(from, end));
      if (list === null) nBroken += 1;
      else {
        const [timekeeping] = list.texts;
        if (isFirst && timekeeping === '') recordOnsetS = list.onsetS;
        for (const text of list.texts) if (text !== '') annotations.push({ onsetS: list.onsetS, durationS: list.durationS, text });
      }
      isFirst = false;
    }
    from = end + 1;
  }
  return { recordOnsetS, annotations, nBroken };
}

function readList(bytes: Uint8Array): { readonly onsetS: number; readonly durationS: number | null; readonly texts: readonly string[] } | null {
  const first = bytes.indexOf(SEPARATOR);
  if (first === -1 || bytes[bytes.length - 1] !== SEPARATOR) return null;
  const head = ascii(bytes.subarray(0, first));
  const found = /^([+-]\d{1,9}(?:\.\d{0,9})?)(?:\u0015(\d{1,9}(?:\.\d{0,9})?))?$/.exec(head);
  if (found === null) return null;
  const texts: string[] = [];
  for (let from = first + 1; from < bytes.length; ) {
    const end = bytes.indexOf(SEPARATOR, from);
    if (bytes.subarray(from, end).includes(DURATION)) return null;
    texts.push(new TextDecoder('utf-8').decode(bytes.subarray(from, Math.min(end, from + MAX_TEXT_BYTES))).trim());
    from = end + 1;
  }
  return { onsetS: Number(found[1]), durationS: found[2] === undefined ? null : Number(found[2]), texts };
}

function ascii(bytes: Uint8Array): string {
  return String.fromCharCode(...bytes.subarray(0, 40));
}
