import { useEffect, useRef, useState, type JSX } from 'react';
import { TextAreaField, TextField } from '../../widgets/field.tsx';

export interface KeptTextProps {
  readonly label: string;
  readonly hint?: string;
  readonly value: string;
  readonly most: number;
  /** Whether an empty text can stand. */
  readonly mayBeEmpty: boolean;
  readonly hasLines?: boolean;
  /** Keeps the text; called when the typing rests, when the field is left and when it goes away. */
  readonly onKeep: (text: string) => void;
}

/** Typing that rests so long is kept. */
const REST_MS = 700;

/** Returns a field whose text is kept by itself. Give it the key of what it edits. */
export function KeptText({ label, hint, value, most, mayBeEmpty, hasLines = false, onKeep }: KeptTextProps): JSX.Element {
  const [typed, setTyped] = useState(value);
  const latest = useRef({ typed, value, onKeep });
  const fault = typed.length > most ? `at most ${most} characters; the last usable text stays in force.` : !mayBeEmpty && typed.trim() === '' ? 'it cannot be empty; the last one stays in force.' : null;
  const isUsable = fault === null;
  useEffect(() => {
    latest.current = { typed: isUsable ? typed : value, value, onKeep };
  });
  const keep = (): void => {
    const now = latest.current;
    if (now.typed !== now.value) now.onKeep(now.typed);
  };
  useEffect(() => {
    if (!isUsable || typed === value) return undefined;
    const timer = setTimeout(keep, REST_MS);
    return () => clearTimeout(timer);
  }, [typed, value, isUsable]);
  useEffect(() => () => {
    const now = latest.current;
    if (now.typed !== now.value) now.onKeep(now.typed);
  }, []);
  const field = { label, value: typed, onChange: setTyped, error: fault, ...(hint === undefined ? {} : { hint }) };
  return <div onBlur={keep}>{hasLines ? <TextAreaField {...field} /> : <TextField {...field} />}</div>;
}
