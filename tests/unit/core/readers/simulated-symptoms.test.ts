/*
 * Each of these was found by tests/property/simulator.property.test.ts or by a sample case, and is named for what was seen.
 * The seed says which simulated export showed it first.
 */
import { describe, expect, it } from 'vitest';
import { importText, importTexts, secondsOf, valuesOf } from '../../../builders/import-text.ts';

const at = (second: number): string => `2031-03-04 08:00:${String(second).padStart(2, '0')}`;

describe('found by simulation', () => {
  it('a list of one entry under three lines of title was "no table" (seed 6)', async () => {
    const { report, record } = await importText('Kelpmouth General Hospital\nExport of one list\n\nelapsed_s,Drug,Dose,Unit\n1046,vasopressin,1,units\n\nEnd of export\n');
    expect(report.failure).toBeNull();
    expect(record.drugs).toMatchObject([{ inn: 'vasopressin', amount: 1 }]);
  });

  it('a long table that begins with rows without a value took one of them for its headings, and the channel was gone (seed 10)', async () => {
    const rows = Array.from({ length: 30 }, (_, i) => `${1_936_463_013_000 + i * 1000},SpO2,${i < 4 ? '' : 97},\n`).join('');
    const { report, channel } = await importText(`Time,Name,Value,Unit\n${rows}`);
    expect(report).toMatchObject({ rows_accepted: 30, rows_rejected: 0 });
    expect(channel('spo2').value.filter((v) => !Number.isNaN(v))).toHaveLength(26);
  });

  it('a row of units without the unit of SpO2 was taken for the headings (seed 41)', async () => {
    const rows = Array.from({ length: 30 }, (_, i) => `${at(i)};0.97;${60 + (i % 3)};${61 + (i % 2)}\n`).join('');
    const { report, channel } = await importText(`Time;SpO2;PR;HR\n;;/min;/min\n${rows}`);
    expect(report.failure).toBeNull();
    expect(valuesOf(channel('spo2')).slice(0, 2)).toEqual([97, 97]);
  });

  it('one cell 99:99:99 among clock times made the whole column a time elapsed, and every bolus moved (seed 153)', async () => {
    const rows = Array.from({ length: 30 }, (_, i) => `10:00:${String(i).padStart(2, '0')},97,60\n`);
    rows.splice(9, 0, '99:99:99,97,60\n');
    const outcome = await importTexts({ 'a/trends.csv': `Time,SpO2,HR\n${rows.join('')}`, 'a/drugs.csv': 'Time,Medication\n10:00:20,ephedrine 6 mg\n10:00:25,ephedrine 6 mg\n' });
    expect(outcome.cases[0]?.origin.clock).toBe('time of day');
    expect(outcome.cases[0]?.drugs.map((d) => d.atMs)).toEqual([20_000, 25_000]);
    expect(outcome.rejectedRows.map((r) => r.line)).toEqual([11]);
  });

  it('an SpO2 column that says "disconnected" for its first part was taken for a status column (seed 250)', async () => {
    const rows = Array.from({ length: 900 }, (_, i) => `${1_938_849_454 + i},${i < 860 ? 'disconnected' : 97},98,60\n`).join('');
    const { channel } = await importText(`timestamp,spo2_finger,spo2_toe,heart_rate\n${rows}`);
    expect(channel('spo2', 'finger').value.filter((v) => !Number.isNaN(v))).toHaveLength(40);
    expect([...channel('spo2', 'toe').mark].some((mark) => mark !== 0)).toBe(false);
  });

  it('one date that exists in no order made the report doubt every date of the file (sample case K12)', async () => {
    const rows = Array.from({ length: 20 }, (_, i) => `${at(i)},97,60\n`);
    rows.splice(5, 0, '31.06.2031 25:61:00,97,60\n');
    const { report, channel } = await importText(`Time,SpO2,HR\n${rows.join('')}`);
    expect(report.guesses.filter((g) => g.field === 'dateOrder')).toEqual([]);
    expect(report.rows_rejected).toBe(1);
    expect(secondsOf(channel('spo2'))).toEqual(Array.from({ length: 20 }, (_, i) => i));
  });

  it('a case past midnight jumped a month where other cases of the file lay in other months (seed 14680)', async () => {
    // 4 to 5 May, month first; the case before it in January, so that the span of the whole file tells nothing.
    const rows = ['a,01/02/2031 10:00:00,97,60', 'a,01/02/2031 10:00:10,97,61', 'a,01/02/2031 10:00:20,97,60', 'b,05/04/2031 23:59:50,97,60', 'b,05/05/2031 00:00:00,97,61', 'b,05/05/2031 00:00:10,96,61', ''];
    const { outcome, report } = await importText(`case_id,Time,SpO2,HR\n${rows.join('\n')}`);
    const spo2 = outcome.cases.find((c) => c.caseId === 'b')?.channels.find((c) => c.quantity === 'spo2');
    expect([...(spo2?.tMs ?? [])]).toEqual([0, 10_000, 20_000]);
    expect(report.guesses.find((g) => g.field === 'dateOrder')).toMatchObject({ certainty: 'likely', because: 'only so does a date lie one day after the one before it' });
  });

  it('a column headed "Dose or rate" was kept as a note, and infusion rates had no number (sample case K11)', async () => {
    const { record } = await importText('Time,Drug,Dose or rate,Unit,Type\n2031-03-04 08:00:00,Fentanyl,250,ug,bolus\n2031-03-04 08:10:00,Norepinephrine,0.05,ug/kg/min,infusion\n2031-03-04 08:20:00,Norepinephrine,0.08,ug/kg/min,infusion\n');
    expect(record.drugs.map((d) => d.amount)).toEqual([250, 0.05, 0.08]);
  });
});
