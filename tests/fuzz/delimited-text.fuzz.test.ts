import { test } from 'vitest';
import type { Mapping, ReadingRules } from '../../core/model/mapping.ts';
import type { ImportOptions } from '../../core/readers/reader.ts';
import type { CodeTable } from '../../core/readers/code-table.ts';
import { asCsv, makePlainCase, type PlainCase } from '../builders/plain-case.ts';
import type { Random } from '../simulator/random.ts';
import { FIRST_SEED, runFuzz, RUNS } from './broken-input.ts';

const encoder = new TextEncoder();

function shortCase(random: Random): PlainCase {
  const plain = makePlainCase(random);
  const steps = random.int(1, 60);
  const within = <T extends { readonly step: number }>(entries: readonly T[]): T[] => entries.map((entry) => ({ ...entry, step: entry.step % steps }));
  return { ...plain, spo2: plain.spo2.slice(0, steps), boluses: within(plain.boluses), positions: within(plain.positions) };
}

function timeOf(random: Random, plain: PlainCase): (step: number) => string {
  const at = (step: number): Date => new Date(plain.startMs + step * plain.stepMs);
  const two = (number: number): string => String(number).padStart(2, '0');
  const clock = (date: Date): string => `${two(date.getUTCHours())}:${two(date.getUTCMinutes())}:${two(date.getUTCSeconds())}`;
  return random.pick([
    (step: number) => at(step).toISOString(),
    (step: number) => `${two(at(step).getUTCDate())}.${two(at(step).getUTCMonth() + 1)}.${at(step).getUTCFullYear()} ${clock(at(step))}`,
    (step: number) => `${at(step).getUTCMonth() + 1}/${at(step).getUTCDate()}/${at(step).getUTCFullYear()} ${clock(at(step))}`,
    (step: number) => clock(at(step)),
    (step: number) => String((step * plain.stepMs) / 1000),
    (step: number) => String(at(step).getTime()),
  ]);
}

/** Returns a case as one table: wide, long, entries, coded, or a list of codes. */
function tableOf(random: Random): string {
  const plain = shortCase(random);
  const at = timeOf(random, plain);
  const comma = random.chance(0.2);
  const number = (value: number | null | undefined): string => (value === null || value === undefined ? random.pick(['', '---', '?', '0', '-1', 'n.b.', '999']) : comma ? String(value + 0.5).replace('.', ',') : String(value));
  const files = Object.values(asCsv(plain, 'x'));
  const wide = ['Zeit|SpO2|HF|PI|Status|Bemerkung|NIBP', ...plain.spo2.map((value, i) => [at(i), number(value), number(plain.heartRate[i]), number(1.2), random.pick(['', 'ok', 'SO', 'art']), random.chance(0.1) ? random.pick(['Bauchlage', 'phenylephrine 100 mcg', 'Frobnicated', '"quoted, text"']) : '', random.pick(['118/64 (82)', '97/51', '---', ''])].join('|'))].join('\n');
  const coded = ['case,itemid,charttime,value,valueuom,error', ...plain.spo2.flatMap((value, i) => [`A,220277,${at(i)},${number(value)},%,0`, `A,220045,${at(i)},${number(plain.heartRate[i])},bpm,1`, `A,224093,${at(i)},Prone,,`])].join('\n');
  const given = ['case,itemid,starttime,endtime,amount,amountuom,rate,rateuom,statusdescription', ...plain.spo2.map((_, i) => `A,221906,${at(i)},${at(i + 1)},1,mg,${random.pick(['0.1', 'ERROR', '', '0'])},mcg/kg/min,${random.pick(['Changed', 'Rewritten', 'Stopped'])}`)].join('\n');
  const codes = 'row_id,itemid,label,unit\n1,220277,SpO2,%\n2,220045,Heart rate,/min\n3,224093,Position,\n4,221906,Norepinephrine,\n';
  return random.pick([wide, random.pick(files), coded, given, codes]);
}

/** Returns the same as a printed log whose columns are aligned with blanks. */
function logOf(random: Random): string {
  const plain = shortCase(random);
  const heading = 'Time                 %SpO2    BPM      PA   Status';
  const lines = plain.spo2.map((value, i) => `${new Date(plain.startMs + i * plain.stepMs).toISOString().slice(0, 19).replace('T', ' ')}  ${String(value ?? '---').padEnd(8)} ${String(plain.heartRate[i] ?? '').padEnd(8)} ${String(random.int(4, 200)).padEnd(6)} ${random.pick(['', 'MO', 'SO AS', 'PS'])}`);
  return [heading, ...lines.flatMap((line, i) => (i % 20 === 19 ? [heading, line] : [line]))].join('\r\n');
}

function encoded(random: Random, text: string): Uint8Array {
  const kind = random.int(0, 5);
  if (kind === 0) return Uint8Array.from([0xff, 0xfe, ...[...text].flatMap((letter) => [letter.charCodeAt(0) & 255, letter.charCodeAt(0) >> 8])]);
  if (kind === 1) return Uint8Array.from(text, (letter) => Math.min(255, letter.charCodeAt(0)));
  return encoder.encode(kind === 2 ? `\ufeff${text}` : text);
}

/** Rules that fit, rules that fit nothing and rules that are wrong. */
function statedFor(random: Random): Partial<ImportOptions> {
  const reading: ReadingRules = {
    ...(random.chance(0.3) ? { sentinels: ['999', 'n.b.', '', '0'], flagWords: ['art', '*', '.', '(', ''] } : {}),
    ...(random.chance(0.3) ? { phrases: { 'Frobnicated': { means: 'drug', inn: 'ephedrine' }, 'Bauchlage': { means: 'note' }, 'prone': { means: 'event', kind: 'bypass' } } } : {}),
    ...(random.chance(0.3) ? { columns: { 'SpO2': { site: 'toe', unit: random.pick(['%', 'fraction', 'kPa']) }, 'HF': { role: random.pick(['ignore', 'time', 'case', 'text', 'drug', 'flag', 'value', 'name']) }, 'Status': { flagWords: ['ok'] }, 'column 2': { quantity: 'spo2' }, '__proto__': { role: 'ignore' } } } : {}),
    ...(random.chance(0.2) ? { delimiter: random.pick([',', 'aligned', 'tab', '§', ' ']) } : {}),
    ...(random.chance(0.2) ? { kind: random.pick(['trends', 'events', 'administrations', 'case list']) } : {}),
    ...(random.chance(0.2) ? { timeKind: random.pick(['timestamp', 'time of day', 'elapsed s', 'elapsed hms', 'unix ms', 'excel day']) } : {}),
    ...(random.chance(0.2) ? { encoding: random.pick(['utf-8', 'utf-16le', 'windows-1252']), decimalMark: random.pick(['.', ',']), dateOrder: random.pick(['dmy', 'mdy', 'ymd']) } : {}),
    ...(random.chance(0.2) ? { valueMaking: random.pick(['mean', 'hold', 'unknown']), deviceHoldS: random.int(0, 30), clockOffsetS: random.int(-100, 100), zone: 'Europe/Berlin' } : {}),
  };
  const mapping: Mapping = { schema: 'lacuna-mapping/1', name: 'stated', files: [{ match: random.chance(0.2) ? { headings: ['SpO2'] } : {}, reading }] };
  const table: CodeTable = { file: 'd_items.csv', folder: '', columns: [{ heading: 'itemid', codes: ['220277', '220045', '224093', '221906'] }], labels: ['SpO2', 'Heart rate', 'Position', 'Norepinephrine'] };
  return { ...(random.chance(0.6) ? { mapping } : {}), ...(random.chance(0.5) ? { codeTables: [table] } : {}) };
}

test(`${RUNS} broken tables of delimited text from seed ${FIRST_SEED} on end in a report`, { timeout: 3_600_000 }, async () => {
  await runFuzz('case-a/export.edf', (random) => encoded(random, random.chance(0.2) ? tableOf(random).replaceAll(',', random.pick([';', '\t', '|'])) : tableOf(random)), undefined, statedFor);
});

test(`${RUNS} broken printed logs from seed ${FIRST_SEED} on end in a report`, { timeout: 3_600_000 }, async () => {
  await runFuzz('case-a/export.json', (random) => encoded(random, logOf(random)), undefined, statedFor);
});
