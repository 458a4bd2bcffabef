import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { ProtocolContent } from '../../core/model/study-protocol.ts';

/** Returns what a protocol fixes: finger against ear lobe in 40 patients. */
export function buildProtocolContent(overrides: Partial<ProtocolContent> = {}): ProtocolContent {
  return {
    title: 'Finger and ear in long operations', question: 'Is less time lost at the ear lobe than at the finger?', design: 'paired', outcome: 'share lost', effect: 'ratio', effectSize: 0.5,
    sites: ['finger', 'ear lobe'], cases: 'All operations longer than an hour with both sites; bypass left out.', n: 40, analysis: 'Ratio of the totals with its interval over patients.', conf: 0.95, seed: 20_260_101,
    parameters: DEFAULT_PARAMETERS, ...overrides,
  };
}
