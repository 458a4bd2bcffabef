import { createHash, randomBytes } from 'node:crypto';
import { z } from 'zod';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { KeptProtocol, ProtocolContent, StudyProtocol } from '../../core/model/study-protocol.ts';
import { studyProtocolSchema } from '../../core/model/study-protocol-schema.ts';
import { protocolDigestText } from '../../core/persist/protocol-file.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { ProtocolStore } from './case-store.ts';
import type { LibraryDocument } from './library-shelf.ts';

const SCHEMA = 'lacuna-protocols/1';
const fileSchema = z.object({ schema: z.literal(SCHEMA), protocols: z.array(z.looseObject({ parameters: z.looseObject({}) })) });

/**
 * Returns the protocols that are kept in a document, in the order in which they were fixed. None is ever changed or removed.
 * Missing  no text: no protocol.
 * Errors   rejects with a FailureError: `protocols-damaged`, `protocol-missing`, `no-reason`, `nothing-changed`, or what the disk refused.
 */
export function buildProtocols(document: LibraryDocument): ProtocolStore {
  async function read(): Promise<{ readonly kept: KeptProtocol[]; readonly stored: readonly unknown[] }> {
    try {
      const text = await document.read();
      if (text === null) return { stored: [], kept: [] };
      const { protocols } = fileSchema.parse(JSON.parse(text));
      return { stored: protocols, kept: protocols.map(keptProtocol) };
    } catch {
      throw new FailureError({ code: 'protocols-damaged', message: 'The protocols of the library cannot be read.', remedy: `${document.wayOut}, then fix the protocols anew.` });
    }
  }
  return {
    async list() {
      return (await read()).kept;
    },
    async take(protocols) {
      const { stored } = await read();
      await document.replace(`${JSON.stringify({ schema: SCHEMA, protocols: [...stored, ...protocols] }, null, 2)}\n`);
    },
    async fix(content, before, { now, productVersion }) {
      const { kept, stored } = await read();
      const versions = before === null ? [] : kept.filter(({ protocol }) => protocol.protocolId === before.protocolId);
      const last = versions.at(-1)?.protocol;
      if (before !== null && last === undefined) throw new FailureError({ code: 'protocol-missing', message: 'The library has no such protocol.', remedy: 'Fix it as a new one.' });
      if (before !== null && before.reason.trim() === '') throw new FailureError({ code: 'no-reason', message: 'A new version of a fixed protocol needs a reason.', remedy: 'Say why it is changed; both versions are kept.' });
      if (last !== undefined && sameContent(last, content)) throw new FailureError({ code: 'nothing-changed', message: 'Nothing differs from the version that is fixed.', remedy: 'Change what is to be changed, or leave it as it is.' });
      const fixed = { ...content, protocolId: last?.protocolId ?? randomBytes(8).toString('hex'), version: (last?.version ?? 0) + 1, reason: before === null ? '' : before.reason.trim(), fixedAt: now.toISOString(), productVersion };
      const protocol: StudyProtocol = { ...fixed, digest: protocolDigest(fixed) };
      // What was there goes back as it stood, also what a later version of the program wrote.
      await document.replace(`${JSON.stringify({ schema: SCHEMA, protocols: [...stored, protocol] }, null, 2)}\n`);
      return [...kept, { protocol, isIntact: true }];
    },
  };
}

/** Returns the sha-256 of a protocol's content. */
export function protocolDigest(protocol: Omit<StudyProtocol, 'digest'>): string {
  return createHash('sha256').update(protocolDigestText(protocol), 'utf8').digest('hex');
}

/** A protocol of an earlier version lacks the parameters of later ones; its digest is that of what it has. */
function keptProtocol(stored: { readonly parameters: Record<string, unknown> } & Record<string, unknown>): KeptProtocol {
  const protocol = studyProtocolSchema.parse({ ...stored, parameters: { ...DEFAULT_PARAMETERS, ...stored.parameters } });
  // The text is made of what is stored, whatever it is: the type says only which fields this version knows.
  return { protocol, isIntact: protocolDigest(stored as unknown as StudyProtocol) === protocol.digest };
}

function sameContent({ protocolId, version, reason, fixedAt, productVersion, digest, ...last }: StudyProtocol, content: ProtocolContent): boolean {
  const frame = { protocolId, version, reason, fixedAt, productVersion, digest };
  return protocolDigestText({ ...last, ...frame }) === protocolDigestText({ ...content, ...frame });
}
