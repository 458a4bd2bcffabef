import type { JSX } from 'react';
import { IMPORT_PARTS, useSession, type ImportPart } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { CaseListPanel } from '../case-list/case-list-panel.tsx';
import { ImportPanel } from '../import-panel/import-panel.tsx';
import { LedgerPanel } from './ledger-panel.tsx';

const PART_NAMES: Readonly<Record<ImportPart, string>> = { import: 'Take in files', 'case list': 'Case list', ledger: 'Ledger' };

/** Returns the import place: what is being taken in, a list of cases held against the library, or the ledger of what was taken in. */
export function ImportPlace(): JSX.Element {
  const session = useSession();
  const part = useStore(session.importPart);
  return (
    <>
      <nav aria-label="Parts of the import" className="part-links">
        {IMPORT_PARTS.map((name) => (
          <button key={name} type="button" className="part-link" aria-current={name === part ? 'page' : undefined} onClick={() => session.importPart.set(name)}>{PART_NAMES[name]}</button>
        ))}
      </nav>
      {part === 'ledger' ? <LedgerPanel /> : part === 'case list' ? <CaseListPanel /> : <ImportPanel />}
    </>
  );
}
