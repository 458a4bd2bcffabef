import { describe, expect, it } from 'vitest';
import { importTexts, secondsOf, valuesOf } from '../../../builders/import-text.ts';

describe('cases put together from several files', () => {
  it('one channel in parts is joined in the order of time', async () => {
    const { cases } = await importTexts({
      'c/b.csv': 'time,SpO2,HR\n2031-03-04 08:00:00,97,60\n2031-03-04 08:00:10,96,61\n',
      'c/a.csv': 'time,SpO2,HR\n2031-03-04 09:00:00,95,62\n2031-03-04 09:00:10,94,63\n',
    });
    const spo2 = cases[0]?.channels.filter((channel) => channel.quantity === 'spo2') ?? [];
    expect(spo2).toHaveLength(1);
    expect(valuesOf(spo2[0]!)).toEqual([97, 96, 95, 94]);
    expect(secondsOf(spo2[0]!)).toEqual([0, 10, 3600, 3610]);
    expect(cases[0]?.findings.some((finding) => finding.code === 'channel-joined')).toBe(true);
  });

  it('two oximeters side by side stay apart', async () => {
    const { cases } = await importTexts({
      'c/a.csv': 'time,SpO2\n2031-03-04 08:00:00,97\n2031-03-04 08:00:10,96\n2031-03-04 08:00:20,96\n',
      'c/b.csv': 'time,SpO2\n2031-03-04 08:00:00,92\n2031-03-04 08:00:10,91\n2031-03-04 08:00:20,90\n',
    });
    expect(cases[0]?.channels.map((channel) => channel.channelId)).toEqual(['spo2@unstated 1', 'spo2@unstated 2']);
  });

  it('the same file twice counts once', async () => {
    const body = 'time,SpO2\n2031-03-04 08:00:00,97\n2031-03-04 08:00:10,96\n';
    const { cases, files } = await importTexts({ 'c/a.csv': body, 'c/copy.csv': body });
    expect(cases[0]?.channels).toHaveLength(1);
    expect(files[1]?.notes.join(' ')).toContain('same content');
  });

  it('a file without a case joins the only case that its folder names', async () => {
    const { cases } = await importTexts({ 'x/events.csv': 'time,event\n2031-03-04 08:00:05,arms tucked\n', 'x/trends.csv': 'case,time,SpO2\nK1,2031-03-04 08:00:00,97\nK1,2031-03-04 08:00:10,96\n' });
    expect(cases.map((record) => record.caseId)).toEqual(['K1']);
    expect(cases[0]?.events).toHaveLength(1);
  });

  it('folders of one name do not run together', async () => {
    const body = (value: number): string => `time,SpO2\n2031-03-04 08:00:00,${value}\n2031-03-04 08:00:10,96\n`;
    const { cases } = await importTexts({ 'p/case1/t.csv': body(97), 'q/case1/t.csv': body(95) });
    expect(cases.map((record) => record.caseId)).toEqual(['p/case1', 'q/case1']);
  });

  it('channels of one table go on sharing their time axis', async () => {
    const { cases } = await importTexts({ 'c/a.csv': 'time,SpO2,HR\n2031-03-04 08:00:00,97,60\n2031-03-04 08:00:10,96,61\n' });
    expect(cases[0]?.channels[0]?.tMs).toBe(cases[0]?.channels[1]?.tMs);
  });
});
