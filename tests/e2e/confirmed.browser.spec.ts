import { expect, test as base, type Locator } from '@playwright/test';
import type { CaseAnalysis } from '../../core/model/analysis.ts';
import { CohortPage } from './pages/cohort-page.ts';
import { LibraryPage } from './pages/library-page.ts';
import { ReviewPage } from './pages/review-page.ts';
import { WindowPage } from './pages/window-page.ts';
import { startWorkstation, type Workstation } from './workstation.ts';

/** A library of its own: what is said of its cases stands in no other test's way. */
const test = base.extend<object, { own: Workstation }>({
  own: [
    async ({}, use) => {
      const workstation = await startWorkstation();
      await use(workstation);
      await workstation.stop();
    },
    { scope: 'worker', timeout: 180_000 },
  ],
});

test('a cohort on computed, confirmed and both: nothing is confirmed before somebody reads; afterwards the least and the most stand beside what was computed', async ({ page, own }) => {
  test.setTimeout(300_000);
  const slow = { timeout: 60_000 };
  const frame = new WindowPage(page);
  const cohort = new CohortPage(page);
  await frame.open(own.address);
  await frame.goTo('Cohort');
  await expect(cohort.counts).toContainText('cases are looked at', slow);
  await page.getByRole('radio', { name: 'Confirmed by readers' }).check();
  await expect(page.getByText('Nothing is confirmed.')).toBeVisible(slow);
  await expect(page.getByText('The answers below are of computed dropouts.')).toBeVisible();

  const call = <T>(method: string, args: unknown): Promise<T> =>
    page.evaluate(async ([name, body]) => {
      const answer = await fetch(`/api/${String(name)}`, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) });
      return ((await answer.json()) as { value: never }).value;
    }, [method, args] as const);
  // Two dropouts of the case with most of them are read: one is a loss, one is none.
  const cases = await call<readonly { readonly caseKey: string; readonly caseId: string; readonly dropouts: number }[]>('listCases', null);
  const most = [...cases].sort((a, b) => b.dropouts - a.dropouts)[0]!;
  const total = cases.reduce((sum, one) => sum + one.dropouts, 0);
  const parameters = await call<object>('getParameters', null);
  const { sites } = await call<CaseAnalysis>('analyze', { caseKey: most.caseKey, parameters });
  const [first, second] = sites.flatMap(({ dropouts }) => dropouts);
  for (const [dropout, verdict] of [[first, 'low perfusion'], [second, 'no loss']] as const) {
    await call('giveVerdict', { caseKey: most.caseKey, dropoutId: dropout!.dropoutId, by: 'A. Reader', blinded: false, judgement: { verdict, certainty: 'probable', note: '', correctedBounds: null } });
  }

  const beside = page.getByRole('table', { name: 'Burden of computed, confirmed and not refuted dropouts, by place' });
  await page.getByRole('radio', { name: 'Both side by side' }).check();
  await expect(beside).toBeVisible(slow);
  await expect(page.getByText(`Of ${total} dropouts: 1 confirmed, 1 refuted, 0 cannot be told, 0 disputed, ${total - 2} not reviewed.`)).toBeVisible();
  const all = beside.getByRole('row').filter({ hasText: 'all sensors together' });
  await expect(all.filter({ hasText: 'as computed' }).getByRole('cell').nth(1)).toHaveText(String(total));
  await expect(all.filter({ hasText: 'confirmed (at least)' }).getByRole('cell').nth(1)).toHaveText('1');
  await expect(all.filter({ hasText: 'not refuted (at most)' }).getByRole('cell').nth(1)).toHaveText(String(total - 1));
  for (const theme of ['Light', 'Dark'] as const) {
    await frame.choose(theme);
    expect(await frame.seriousFindings(), `both side by side, ${theme}`).toEqual([]);
  }

  // Everything on confirmed ones: from the keyboard, and every picture says so.
  await page.getByRole('radio', { name: 'Both side by side' }).focus();
  await page.keyboard.press('ArrowLeft');
  await expect(page.getByText('The answers below are of confirmed dropouts.')).toBeVisible(slow);
  await expect(page.getByText(/^1 dropout at a sensor in 1 of/)).toBeVisible();
  await expect(cohort.chart('Share of monitored time lost, by place')).toContainText('dropouts that readers confirmed');
  await expect(page.getByText('With doubtful values counted as lost:')).toHaveCount(0);

  // The sums of the case itself: what is confirmed and what is not refuted, beside what was computed.
  await new ReviewPage(page).readAs('A. Reader');
  await frame.goTo('Library');
  await new LibraryPage(page).openCase(most.caseId);
  const sums = page.getByRole('table', { name: 'What was lost, by site' });
  await expect(page.getByText(`Of ${most.dropouts} dropouts: 1 confirmed, 1 refuted, 0 cannot be told, 0 disputed, ${most.dropouts - 2} not reviewed.`)).toBeVisible(slow);
  const countOf = (rows: Locator): Locator => rows.first().getByRole('cell').nth(1);
  await expect(countOf(sums.getByRole('row', { name: 'confirmed (at least)' }))).toHaveText('1');
  await expect(countOf(sums.getByRole('row', { name: 'not refuted (at most)' }))).toHaveText(String(sites.find(({ siteKey }) => siteKey === second!.siteKey)!.dropouts.length - 1));
  await frame.goTo('Cohort');

  // A case that a reader flags is left out, and the flow of cases says why.
  await call('flagCase', { caseKey: most.caseKey, by: 'A. Reader', flags: ['exclude from figures'], note: '', blinded: false });
  await page.getByRole('radio', { name: 'As computed' }).check();
  await expect(cohort.counts).toContainText(`1 of ${cases.length} cases asked for is left out.`, slow);
  await page.getByText('Flow of cases: how many came how far').click();
  await cohort.chart('Flow of cases').getByRole('button', { name: 'Show as a table' }).click();
  await expect(cohort.chart('Flow of cases').getByRole('table')).toContainText('flagged by a reader: exclude from figures');
});
