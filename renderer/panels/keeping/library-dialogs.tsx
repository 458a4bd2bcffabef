import { useState, type JSX } from 'react';
import type { LibraryForm } from '../../../core/protocol/library-calls.ts';
import { useSession } from '../../state/session.ts';
import { ChoiceRow, CheckField, TextField } from '../../widgets/field.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { FormDialog } from './form-dialog.tsx';
import { passphraseFault, WHERE_LIBRARIES_LIE } from './keeping-text.ts';
import { NewPassphrase } from './new-passphrase.tsx';

const NAME_HINT = 'Letters, digits, blanks, hyphens and points. It becomes the name of a file: never that of a patient.';

export interface LibraryDialogProps {
  readonly onClose: () => void;
}

/** Returns the dialog that makes an empty library and goes on with it. */
export function MakeLibraryDialog({ onClose }: LibraryDialogProps): JSX.Element {
  const { host } = useSession();
  const [name, setName] = useState('');
  const [form, setForm] = useState<LibraryForm>('encrypted');
  const [[first, second], setPassphrase] = useState<readonly [string, string]>(['', '']);
  const isEncrypted = form === 'encrypted';
  return (
    <FormDialog
      title="Make a new library" does="Make it and go on with it" doing="Making it…" onClose={onClose} onDone={onClose}
      isUsable={name.trim() !== '' && (!isEncrypted || passphraseFault(first, second).isUsable)}
      act={() => host.createLibrary({ name: name.trim(), form, passphrase: isEncrypted ? first : null })}
    >
      <TextField label="Name" value={name} onChange={setName} hint={NAME_HINT} />
      <ChoiceRow
        legend="Kept as" value={form} choices={[{ value: 'encrypted', label: 'One encrypted file' }, { value: 'folder', label: 'A folder, not encrypted' }]}
        onChange={(value) => setForm(value === 'folder' ? 'folder' : 'encrypted')}
      />
      {isEncrypted ? (
        <>
          <p>For records of patients. A stolen disk or another administrator sees nothing of it. It is locked when you leave it, is backed up by itself, and asks for its passphrase.</p>
          <NewPassphrase first={first} second={second} onChange={(one, two) => setPassphrase([one, two])} />
        </>
      ) : (
        <p>For sample cases, or records that may lie in the open: whoever can read your files can read them. It asks for no passphrase, is never locked, and has no backups of its own.</p>
      )}
      <p className="soft">The library that is open now is closed and stays as it is.</p>
    </FormDialog>
  );
}

/** Returns the dialog that moves the open folder into an encrypted library. */
export function MoveLibraryDialog({ name: from, onClose }: LibraryDialogProps & { readonly name: string }): JSX.Element {
  const { host } = useSession();
  const [name, setName] = useState(from);
  const [[first, second], setPassphrase] = useState<readonly [string, string]>(['', '']);
  return (
    <FormDialog
      title={`Move “${from}” into an encrypted library`} does="Move it and go on with it" doing="Moving and reading it again…" onClose={onClose} onDone={onClose}
      isUsable={name.trim() !== '' && passphraseFault(first, second).isUsable} act={() => host.moveLibrary({ name: name.trim(), passphrase: first })}
    >
      <p>Every case, mapping, protocol, chart and entry goes into one encrypted file, is read again and held against the folder before you go on.</p>
      <TextField label="Name of the encrypted library" value={name} onChange={setName} hint={NAME_HINT} />
      <NewPassphrase first={first} second={second} onChange={(one, two) => setPassphrase([one, two])} />
      <Notice tone="note" title="The folder stays">
        <p>It is still there afterwards, not encrypted. Look at the new library, then remove the folder “{from}” yourself from {WHERE_LIBRARIES_LIE}. A removed file may still be recovered from a disk that is not encrypted as a whole.</p>
      </Notice>
    </FormDialog>
  );
}

/** Returns the dialog that gives the open library another passphrase. */
export function ChangePassphraseDialog({ onClose, onDone }: LibraryDialogProps & { readonly onDone: () => void }): JSX.Element {
  const { host } = useSession();
  const [before, setBefore] = useState('');
  const [isShown, setIsShown] = useState(false);
  const [[first, second], setPassphrase] = useState<readonly [string, string]>(['', '']);
  return (
    <FormDialog
      title="Change the passphrase" does="Change it" doing="Changing it…" onClose={onClose} onDone={onDone}
      isUsable={before !== '' && passphraseFault(first, second).isUsable} act={() => host.changePassphrase({ before, after: first })}
    >
      <TextField label="Passphrase of today" type={isShown ? 'text' : 'password'} value={before} onChange={setBefore} />
      <CheckField label="Show the passphrase of today" checked={isShown} onChange={setIsShown} />
      <NewPassphrase first={first} second={second} onChange={(one, two) => setPassphrase([one, two])} />
      <p className="soft">The key inside stays the same: a copy or backup made before still opens with the passphrase of its day. If somebody else may know that one, make a new library.</p>
    </FormDialog>
  );
}
