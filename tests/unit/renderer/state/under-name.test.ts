import { expect, test } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { underName } from '../../../../renderer/state/under-name.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';

test('what changes the library is told under the name of the reader of that moment, or under none', async () => {
  const told: unknown[] = [];
  const host = buildHostConnection({
    removeCase: async (args) => (told.push(args), { removed: true }),
    saveParameters: async (args) => (told.push(args.by), []),
  });
  let reader: string | null = null;
  const named = underName(host, () => reader);
  await named.removeCase({ caseKey: 'k' });
  reader = 'Ada';
  await named.removeCase({ caseKey: 'k' });
  await named.saveParameters({ parameters: DEFAULT_PARAMETERS });
  expect(told).toEqual([{ caseKey: 'k' }, { caseKey: 'k', by: 'Ada' }, 'Ada']);
});
