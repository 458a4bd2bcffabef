import { describe, expect, test } from 'vitest';
import type { CaseAnalysis } from '../../../../core/model/analysis.ts';
import { createCaseClocks } from '../../../../renderer/state/case-clocks.ts';
import { buildHostConnection } from '../../../builders/host-connection.ts';
import { deferred } from '../../../builders/stand-in-pool.ts';
import { buildCaseAnalysis } from '../../../builders/stored-case.ts';

describe('the clocks of one case', () => {
  test('are asked for, and a failure is told with its remedy', async () => {
    const clocks = createCaseClocks(buildHostConnection(), 'k');
    expect(clocks.looking.get().kind).toBe('working');
    await clocks.look();
    expect(clocks.looking.get()).toEqual({ kind: 'ready', comparisons: [] });
    const broken = createCaseClocks(buildHostConnection({ proposeClockOffsets: () => Promise.reject(Object.assign(new Error('gone'), { code: 'x', remedy: 'Try again.' })) }), 'k');
    await broken.look();
    expect(broken.looking.get()).toMatchObject({ kind: 'failed', problem: { remedy: 'Try again.' } });
  });

  test('of two trials the later one counts', async () => {
    const answers = [deferred<CaseAnalysis>(), deferred<CaseAnalysis>()];
    let asked = 0;
    const clocks = createCaseClocks(buildHostConnection({ tryClockOffset: () => answers[asked++]!.promise }), 'k');
    const first = clocks.ask(1, 1000);
    const second = clocks.ask(1, 2000);
    answers[1]!.resolve(buildCaseAnalysis([], { caseId: 'second' }));
    await second;
    answers[0]!.resolve(buildCaseAnalysis([], { caseId: 'first' }));
    await first;
    expect(clocks.trial.get()).toMatchObject({ kind: 'ready', offsetMs: 2000, analysis: { caseId: 'second' } });
    clocks.forgetTrial();
    expect(clocks.trial.get()).toEqual({ kind: 'none' });
  });

  test('setting one forgets the trial and says when it failed', async () => {
    const asked: unknown[] = [];
    const host = buildHostConnection();
    const clocks = createCaseClocks({ ...host, setClockOffset: (args) => { asked.push(args); return host.setClockOffset(args); } }, 'k');
    await clocks.ask(0, 5000);
    expect(await clocks.set(0, 5000, true)).toBe(true);
    expect(asked).toEqual([{ caseKey: 'k', sourceIndex: 0, offsetMs: 5000, isProposal: true }]);
    expect([clocks.trial.get().kind, clocks.setting.get().kind]).toEqual(['none', 'idle']);
    const refusing = createCaseClocks(buildHostConnection({ setClockOffset: () => Promise.reject(Object.assign(new Error('no'), { code: 'proposal-gone', remedy: 'Look again.' })) }), 'k');
    expect(await refusing.set(0, 1, true)).toBe(false);
    expect(refusing.setting.get()).toMatchObject({ kind: 'failed', problem: { remedy: 'Look again.' } });
  });
});
