import { useEffect, type JSX } from 'react';
import { protocolDifferences, type UsedDefinition } from '../../../core/model/protocol-differences.ts';
import type { KeptProtocol } from '../../../core/model/study-protocol.ts';
import { countText } from '../../format/number-text.ts';
import { instantText } from '../../format/time-text.ts';
import { FigureHead } from '../../help/figure-help.tsx';
import { useSession } from '../../state/session.ts';
import { useStore } from '../../state/store.ts';
import { Disclosure } from '../../widgets/disclosure.tsx';

/**
 * Returns, beside a result, whether it was computed under the definition of each protocol of the library, in its last version, and
 * in which fields it departs. Nothing where there is no protocol.
 */
export function ProtocolStatement({ used }: { readonly used: UsedDefinition }): JSX.Element | null {
  const session = useSession();
  const { protocols, problem } = useStore(session.protocols);
  useEffect(() => {
    if (session.protocols.get().protocols === null) void session.protocols.load();
  }, [session]);
  if (protocols === null && problem !== null) return <p className="concern">{problem.message} Nothing can be said about protocols.</p>;
  if (protocols === null || protocols.length === 0) return null;
  return <ul className="protocol-statements">{lastVersions(protocols).map((kept) => <li key={kept.protocol.protocolId}><Statement kept={kept} used={used} /></li>)}</ul>;
}

function Statement({ kept: { protocol, isIntact }, used }: { readonly kept: KeptProtocol; readonly used: UsedDefinition }): JSX.Element {
  const name = `protocol “${protocol.title}”, version ${protocol.version}, fixed ${instantText(protocol.fixedAt)}`;
  if (!isIntact) return <span className="concern">The {name} was changed outside this program: nothing is said about it.</span>;
  const differences = protocolDifferences(protocol, used);
  if (differences.length === 0) return <span>Computed under the definition of {name}.</span>;
  return (
    <Disclosure summary={`Not computed under the definition of ${name}: ${countText(differences.length, 'field differs', 'fields differ')}`}>
      <table className="plain-table">
        <thead><tr><th scope="col">Field</th><FigureHead figure="protocol">Fixed</FigureHead><FigureHead figure="protocol">Used here</FigureHead></tr></thead>
        <tbody>{differences.map(({ field, fixed, used: value }) => <tr key={field}><th scope="row">{field}</th><td>{fixed}</td><td>{value}</td></tr>)}</tbody>
      </table>
    </Disclosure>
  );
}

/** Returns the last version of each protocol, in the order in which they were first fixed. */
export function lastVersions(protocols: readonly KeptProtocol[]): KeptProtocol[] {
  const last = new Map<string, KeptProtocol>();
  for (const kept of protocols) last.set(kept.protocol.protocolId, kept);
  return [...last.values()];
}
