import type { Page } from '@playwright/test';
import type { HostApi } from '../../core/protocol/host-api.ts';

export type Method = keyof HostApi;
export type Reply<M extends Method> = Awaited<ReturnType<HostApi[M]>>;
export type Arguments<M extends Method> = Parameters<HostApi[M]> extends [] ? null : Parameters<HostApi[M]>[0];

/** Calls the host of an opened window as its page does. Errors: throws with code, message and remedy of a refused call. */
export async function callHost<M extends Method>(page: Page, method: M, args: Arguments<M>): Promise<Reply<M>> {
  const said = await page.evaluate(
    async ([name, body]) => {
      const reply = await fetch(`/api/${name}`, { method: 'POST', headers: { 'content-type': 'application/json' }, body });
      return (await reply.json()) as { readonly ok: boolean; readonly value: unknown; readonly failure?: unknown };
    },
    [method, JSON.stringify(args)] as const,
  );
  if (!said.ok) throw new Error(JSON.stringify(said.failure));
  return said.value as Reply<M>;
}
