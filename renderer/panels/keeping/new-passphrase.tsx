import { useState, type JSX } from 'react';
import { CheckField, TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { FORGOTTEN, LEAST_PASSPHRASE, passphraseFault } from './keeping-text.ts';

export interface NewPassphraseProps {
  readonly first: string;
  readonly second: string;
  readonly onChange: (first: string, second: string) => void;
}

/** Returns two fields for a passphrase that is new, and what it means to forget it. */
export function NewPassphrase({ first, second, onChange }: NewPassphraseProps): JSX.Element {
  const [isShown, setIsShown] = useState(false);
  const fault = passphraseFault(first, second);
  const type = isShown ? 'text' : 'password';
  return (
    <>
      <TextField
        label="New passphrase" type={type} value={first} error={fault.first} onChange={(text) => onChange(text, second)}
        hint={`At least ${LEAST_PASSPHRASE} characters. Four or more words that do not belong together are hard to guess and easy to keep.`}
      />
      <TextField label="The same again" type={type} value={second} error={fault.second} onChange={(text) => onChange(first, text)} />
      <CheckField label="Show what I type" checked={isShown} onChange={setIsShown} />
      <Notice tone="caution" title="Write it down"><p>{FORGOTTEN}</p></Notice>
    </>
  );
}
