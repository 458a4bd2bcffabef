import { isAsked, type ReleaseAnswer, type ReleaseList } from '../../core/model/release.ts';
import type { Host } from '../../electron/host/host.ts';

/** Returns answers that keep everything that is asked about. */
export function keepAll({ tokens }: Pick<ReleaseList, 'tokens'>): readonly ReleaseAnswer[] {
  return tokens.filter(({ kind }) => isAsked(kind)).map(({ kind, text }) => ({ kind, text, decision: 'keep', with: '' }));
}

/** Returns the archive of a made bundle, every word of it kept. */
export async function savedBundle(host: Pick<Host, 'listBundle' | 'writeBundle'>, bundleId: string): Promise<Uint8Array> {
  const answers = keepAll(await host.listBundle({ bundleId, answers: [] }));
  return Buffer.from((await host.writeBundle({ bundleId, answers })).base64, 'base64');
}
