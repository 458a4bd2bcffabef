import { useEffect, useState, type JSX } from 'react';
import type { FileReport } from '../../../core/model/import-report.ts';
import { countText } from '../../format/number-text.ts';
import type { OverruleSet } from '../../state/overrules.ts';
import { mappingOffers, type MappingOffer } from '../../state/saved-mappings.ts';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Button } from '../../widgets/button.tsx';
import { Notice } from '../../widgets/notice.tsx';
import { overrulesOf } from './rules-text.ts';

/** Returns the saved mappings that fit files of this import, each with the question whether it is to be used. */
export function MappingOffers({ reports, overrules }: { readonly reports: readonly FileReport[]; readonly overrules: OverruleSet }): JSX.Element | null {
  const session = useSession();
  const state = useStore(session.mappings);
  const [declined, setDeclined] = useState<readonly string[]>([]);
  useEffect(() => {
    void session.mappings.load();
  }, [session]);
  if (state.kind !== 'ready') return null;
  const offers = mappingOffers(state.mappings, reports, (file) => overrules.has(file)).filter(({ mapping }) => !declined.includes(mapping.name));
  const use = (offer: MappingOffer): void => {
    session.imports.sayAll(new Map(offer.files.map(({ file, rules }) => [file, overrulesOf(rules, offer.mapping.name)])));
    void session.imports.readAgain();
  };
  return (
    <>
      {offers.map((offer) => (
        <Notice key={offer.mapping.name} tone="note" title={`The saved mapping “${offer.mapping.name}” fits ${countText(offer.files.length, 'of these files', 'of these files')}.`}>
          <p className="soft">{offer.files.slice(0, 5).map(({ file }) => file).join(', ')}{offer.files.length > 5 ? ` and ${offer.files.length - 5} more` : ''}</p>
          <p className="row">
            <Button onClick={() => use(offer)}>Read {offer.files.length === 1 ? 'it' : 'them'} with “{offer.mapping.name}”</Button>
            <Button look="link" className="only-screen" onClick={() => setDeclined([...declined, offer.mapping.name])}>Not for these</Button>
          </p>
        </Notice>
      ))}
    </>
  );
}
