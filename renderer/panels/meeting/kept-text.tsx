import { useEffect, useRef, useState, type JSX } from 'react';
import { TextAreaField, TextField } from '../../widgets/field.tsx';
import { hasToBeKept, keptWords, wordsKnown, wordsTyped } from './kept-words.ts';

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
  const [words, setWords] = useState(() => keptWords(value));
  // What another window has kept comes in before anything is drawn: it must not be written over with what stood here before.
  const now = wordsKnown(words, value);
  if (now !== words) setWords(now);
  const { typed, isOvertaken } = now;
  const fault = typed.length > most ? `at most ${most} characters; the last usable text stays in force.`
    : !mayBeEmpty && typed.trim() === '' ? 'it cannot be empty; the last one stays in force.'
      : isOvertaken ? `another window kept “${short(value)}” meanwhile, and that stays until you type on here: then this text takes its place.` : null;
  const isWaiting = fault === null && hasToBeKept(now);
  const latest = useRef({ typed, isWaiting, onKeep });
  useEffect(() => {
    latest.current = { typed, isWaiting, onKeep };
  });
  const keep = (): void => {
    const { typed: text, isWaiting: waits, onKeep: keepText } = latest.current;
    if (!waits) return;
    setWords((last) => ({ ...last, asked: text }));
    keepText(text);
  };
  useEffect(() => {
    if (!isWaiting) return undefined;
    const timer = setTimeout(keep, REST_MS);
    return () => clearTimeout(timer);
  }, [typed, isWaiting]);
  useEffect(() => () => {
    const { typed: text, isWaiting: waits, onKeep: keepText } = latest.current;
    if (waits) keepText(text);
  }, []);
  const field = { label, value: typed, onChange: (text: string) => setWords((last) => wordsTyped(last, text)), error: fault, ...(hint === undefined ? {} : { hint }) };
  return <div onBlur={keep}>{hasLines ? <TextAreaField {...field} /> : <TextField {...field} />}</div>;
}

function short(text: string): string {
  return text.length > 60 ? `${text.slice(0, 60)}…` : text;
}
