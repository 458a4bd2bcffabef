import { useId, useState, type JSX, type KeyboardEvent } from 'react';
import { Button } from './button.tsx';

export interface WordListProps {
  readonly label: string;
  readonly hint: string;
  readonly words: readonly string[];
  /** Words to add by one press. */
  readonly suggestions: readonly string[];
  readonly onChange: (words: readonly string[]) => void;
}

/** Returns a list of words: each can be taken out, one can be typed or picked to be added. */
export function WordList({ label, hint, words, suggestions, onChange }: WordListProps): JSX.Element {
  const id = useId();
  const [typed, setTyped] = useState('');
  const add = (word: string): void => {
    if (word !== '' && !words.includes(word)) onChange([...words, word]);
    setTyped('');
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.key !== 'Enter') return;
    event.preventDefault();
    add(typed.trim());
  };
  const offered = suggestions.filter((word) => !words.includes(word));
  return (
    <div className="field word-list" role="group" aria-labelledby={`${id}-label`}>
      <label id={`${id}-label`} htmlFor={id} className="field-label">{label}</label>
      {words.length === 0 ? null : (
        <ul className="bare-list word-list-words">
          {words.map((word) => (
            <li key={word}><code>{word}</code> <Button look="link" className="only-screen" aria-label={`Take out ${word}`} onClick={() => onChange(words.filter((other) => other !== word))}>Take out</Button></li>
          ))}
        </ul>
      )}
      <span className="row">
        <input id={id} className="input input-short" value={typed} spellCheck={false} autoComplete="off" aria-describedby={`${id}-hint`} onChange={(event) => setTyped(event.target.value)} onKeyDown={onKeyDown} />
        <Button disabled={typed.trim() === ''} aria-label={`Add to: ${label}`} onClick={() => add(typed.trim())}>Add</Button>
      </span>
      {offered.length === 0 ? null : (
        <span className="row word-list-offers">
          {offered.map((word) => <Button key={word} look="quiet" aria-label={`Add ${word} to: ${label}`} onClick={() => add(word)}>+ <code>{word}</code></Button>)}
        </span>
      )}
      <div id={`${id}-hint`} className="field-hint">{hint}</div>
    </div>
  );
}
