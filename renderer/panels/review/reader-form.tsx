import { useState, type JSX } from 'react';
import { changeReading, LONGEST_READER, readerFault, readingOf } from '../../state/preferences.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { CheckField, TextField } from '../../widgets/field.tsx';

/** Returns the question who reads, asked once and kept on this computer; with a name, who it is and how to say another. */
export function ReaderForm(): JSX.Element {
  const session = useSession();
  const { reader } = useStore(session.preferences);
  const [typed, setTyped] = useState<string | null>(null);
  if (reader !== null && typed === null) {
    return (
      <p className="reader-line">
        <span className="soft">Reading as</span> <strong>{reader}</strong> <Button look="link" className="only-screen" onClick={() => setTyped(reader)}>Change…</Button>
      </p>
    );
  }
  const text = typed ?? '';
  const fault = readerFault(text);
  return (
    <form
      className="reader-form only-screen"
      onSubmit={(event) => {
        event.preventDefault();
        if (fault !== null) return;
        session.preferences.change({ reader: text.trim() });
        setTyped(null);
      }}
    >
      <TextField label="Who reads? Name or initials" value={text} onChange={setTyped} error={text === '' ? null : fault} />
      <Button type="submit" look="primary" disabled={fault !== null}>{reader === null ? 'Read under this name' : 'Change the name'}</Button>
      {reader === null ? null : <Button look="quiet" onClick={() => setTyped(null)}>Stay {reader}</Button>}
      <p className="soft reader-note">
        Every verdict bears this name (at most {LONGEST_READER} characters), in the trail for good and in every file of reviews that leaves this library. It is kept on this computer and proves nothing: whoever sits here can type any name.
        Another name is another reader: verdicts given under the old one stay with it.
      </p>
    </form>
  );
}

/** Returns how the present reader reads; nothing without a name. */
export function ReadingChoices(): JSX.Element | null {
  const session = useSession();
  const preferences = useStore(session.preferences);
  if (preferences.reader === null) return null;
  const { isBlinded, goesOn } = readingOf(preferences);
  const change = (part: Parameters<typeof changeReading>[1]): void => session.preferences.change(changeReading(session.preferences.get(), part));
  return (
    <fieldset className="reading-choices">
      <legend className="field-label">How {preferences.reader} reads</legend>
      <CheckField label="Blinded: what others said of a case is kept back until you call it read or reveal it" checked={isBlinded} onChange={(checked) => change({ isBlinded: checked })} />
      {isBlinded ? null : <p className="remark">Verdicts of others are shown. Verdicts given while they are shown are no blinded readings and count in no agreement of blinded readers.</p>}
      <CheckField label="Go on to the next dropout as soon as a verdict is saved" checked={goesOn} onChange={(checked) => change({ goesOn: checked })} />
    </fieldset>
  );
}
