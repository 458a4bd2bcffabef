import { describe, expect, test } from 'vitest';
import type { HelpPage } from '../../../../renderer/help/help-page.ts';
import { createHelp, type HelpStore } from '../../../../renderer/help/help-store.ts';

const PAGE: HelpPage = { path: 'docs/methods/dropout.md', group: 'Methods', title: 'Dropout', blocks: [] };

function shown(help: HelpStore): string {
  const { isOpen, trail, at } = help.get();
  const view = trail[at];
  return isOpen && view !== undefined ? `${view.path ?? 'contents'}#${view.anchor ?? ''}` : 'closed';
}

describe('the help of a window', () => {
  test('opens the page of a figure at its heading, goes back and forward, and forgets the way when it is closed', () => {
    const help = createHelp(async () => [PAGE]);
    expect(shown(help)).toBe('closed');
    help.openFigure('time-lost', ['dropouts', 'time-lost'], null);
    expect(shown(help)).toBe('docs/methods/dropout.md#definition');
    help.goTo({ path: 'docs/methods/record-gap.md', anchor: null, figure: null, among: [] });
    help.step(-1);
    expect(shown(help)).toBe('docs/methods/dropout.md#definition');
    help.step(-1);
    expect(shown(help)).toBe('docs/methods/dropout.md#definition');
    help.step(1);
    expect(shown(help)).toBe('docs/methods/record-gap.md#');
    // A new way from the middle takes the place of the one that led on.
    help.step(-1);
    help.openPage(null, null, null);
    expect(help.get().trail).toHaveLength(2);
    expect(shown(help)).toBe('contents#');
    help.close();
    expect(shown(help)).toBe('closed');
    help.step(1);
    expect(shown(help)).toBe('closed');
  });

  test('the pages are read once, when help is first opened; a failure is told and can be tried again', async () => {
    let asked = 0;
    const help = createHelp(async () => {
      asked += 1;
      if (asked === 1) throw new Error('no such file');
      return [PAGE];
    });
    expect(asked).toBe(0);
    help.openPage(null, null, null);
    await Promise.resolve().then(() => undefined);
    await new Promise((resolve) => setTimeout(resolve));
    expect(help.pages.get().kind).toBe('failed');
    help.reload();
    await new Promise((resolve) => setTimeout(resolve));
    expect(help.pages.get()).toEqual({ kind: 'ready', pages: [PAGE] });
    help.openPage(null, null, null);
    help.reload();
    expect(asked).toBe(2);
  });
});
