import { expect, it } from 'vitest';
import { FailureError } from '../../../../core/protocol/failure-error.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { createSiteDetail } from '../../../../renderer/state/site-detail.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';
import { EMPTY_SITE_DETAIL } from '../../../builders/site-comparison.ts';

it('reads the sensors of a case once for each set of parameters, and keeps the picture until the next one is there', async () => {
  const asked: number[] = [];
  const host = buildHostConnection({
    siteDetail: ({ parameters }) => {
      asked.push(parameters.minDurationS);
      return parameters.minDurationS === 99 ? Promise.reject(new FailureError({ code: 'case-missing', message: 'Gone.' })) : Promise.resolve(EMPTY_SITE_DETAIL);
    },
  });
  const store = createSiteDetail(host, 'k');
  const first = store.load(DEFAULT_PARAMETERS);
  expect(store.get().kind).toBe('loading');
  await first;
  await store.load({ ...DEFAULT_PARAMETERS, name: 'another name' });
  const second = store.load({ ...DEFAULT_PARAMETERS, minDurationS: 60 });
  expect(store.get().kind).toBe('ready');
  await second;
  expect(store.get()).toMatchObject({ kind: 'ready', parameters: { minDurationS: 60 } });
  await store.load({ ...DEFAULT_PARAMETERS, minDurationS: 99 });
  expect(store.get()).toMatchObject({ kind: 'failed', problem: { message: 'Gone.' } });
  expect(asked).toEqual([30, 60, 99]);
});
