import type { ByteSource } from '../../core/readers/reader.ts';
import type { Site } from '../../core/model/site.ts';
import { memorySource } from '../builders/byte-source.ts';
import { seededRandom, type Random } from './random.ts';
import { makeTrueCase, type TrueCase, type TrueSite } from './true-case.ts';

const CLOCKS = [
  'iso', 'iso T', 'iso with zone', 'day first slashes', 'day first dots', 'month first', 'month first 12-hour', 'day month-name', 'unix s', 'unix ms', 'elapsed s', 'time of day',
] as const;
type Clock = (typeof CLOCKS)[number];

/** The way in which one simulated export is written down. Printed with every failure. */
export interface Style {
  readonly layout: 'wide' | 'long';
  readonly siteIn: 'name' | 'column' | 'nowhere';
  readonly delimiter: ',' | ';' | '\t' | '|';
  readonly mark: '.' | ',';
  readonly encoding: 'utf-8' | 'utf-8 with mark' | 'utf-16le' | 'utf-16be' | 'latin-1';
  readonly clock: Clock;
  readonly lineEnd: '\n' | '\r\n';
  readonly frame: boolean;
  readonly unitRow: boolean;
  readonly fraction: boolean;
  /** What stands for a lost value; null: the row (long) is not written at all. */
  readonly filler: string | null;
  /** Rows in which the recorder stood still are there but empty (wide tables only). */
  readonly emptyGapRows: boolean;
  readonly doses: 'columns' | 'text';
  readonly naming: 'short' | 'spelled' | 'snake';
  readonly caseColumn: boolean;
  readonly badRows: number;
  readonly pieceLength: number;
}

export interface WrittenFile {
  readonly path: string;
  /** Rows that hold a measurement or an administration. */
  readonly goodRows: number;
  /** Physical lines (from 1) that cannot be read. */
  readonly badLines: readonly number[];
}

export interface SimulatedExport {
  readonly seed: number;
  readonly style: Style;
  readonly cases: readonly TrueCase[];
  readonly files: readonly WrittenFile[];
  readonly sources: readonly ByteSource[];
}

const FILLERS = ['', '-', '---', '?', 'NaN', 'null', '#N/A', '0', '-1', '127', '32767', 'disconnected'] as const;
const ONE_SITE: readonly (readonly Site[])[] = [['finger'], ['toe'], ['ear lobe'], ['nasal ala'], ['forehead']];
const TWO_SITES: readonly (readonly Site[])[] = [['finger', 'ear lobe'], ['finger', 'nasal ala'], ['finger', 'forehead'], ['toe', 'finger']];

function makeStyle(random: Random): Style {
  const layout = random.pick(['wide', 'wide', 'long'] as const);
  const delimiter = random.pick([',', ';', '\t', '|'] as const);
  const encoding = random.pick(['utf-8', 'utf-8', 'utf-8 with mark', 'utf-16le', 'utf-16be', 'latin-1'] as const);
  return {
    layout,
    siteIn: random.pick(['name', 'name', 'column', 'nowhere'] as const),
    delimiter,
    mark: delimiter !== ',' && random.chance(0.5) ? ',' : '.',
    encoding,
    clock: random.pick(CLOCKS),
    lineEnd: random.pick(['\n', '\r\n'] as const),
    // The preamble carries the one letter that Latin-1 writes in its own way.
    frame: encoding === 'latin-1' || random.chance(0.25),
    unitRow: layout === 'wide' && random.chance(0.3),
    fraction: random.chance(0.15),
    filler: layout === 'long' && random.chance(0.5) ? null : random.pick(FILLERS),
    emptyGapRows: random.chance(0.5),
    doses: random.pick(['columns', 'text'] as const),
    naming: random.pick(['short', 'spelled', 'snake'] as const),
    caseColumn: random.chance(0.2),
    badRows: random.chance(0.3) ? random.int(1, 5) : 0,
    pieceLength: random.pick([997, 4_096, 65_536]),
  };
}

/** Returns the export of `seed`: one case, or several in one file, with the truth that it was made from. */
export function simulateExport(seed: number): SimulatedExport {
  const random = seededRandom(seed);
  const style = makeStyle(random);
  const sites = style.siteIn === 'nowhere' ? [['unstated'] as const] : style.layout === 'wide' && style.siteIn === 'column' ? ONE_SITE : [...ONE_SITE, ...TWO_SITES];
  const count = style.caseColumn ? random.int(2, 3) : 1;
  const cases: TrueCase[] = [];
  for (let i = 0; i < count; i++) {
    const caseId = style.caseColumn ? `S${seed}-${i + 1}` : `sim-${seed}`;
    // Where rows are simply left out, an interval that changes cannot be told from a loss at the change.
    cases.push(makeTrueCase(random, caseId, { sites, intervalChange: style.filler !== null, rowsMayBeAbsent: style.filler === null }));
  }
  const startsMs = cases.map((_, i) => Date.UTC(2031, random.int(0, 11), random.int(1, 28), random.int(0, 23), random.int(0, 59), random.int(0, 59)) + i);
  const wholeStartsMs = startsMs.map((ms) => {
    const whole = Math.floor(ms / 1000) * 1000;
    // A clock without a date that begins in the minute after midnight cannot be told from time elapsed.
    return style.clock === 'time of day' && whole % 86_400_000 < 60_000 ? whole + 60_000 : whole;
  });

  const files: WrittenFile[] = [];
  const sources: ByteSource[] = [];
  const add = (name: string, table: Table): void => {
    const path = `sim-${seed}/${name}`;
    const { text, badLines } = toText(random, style, table);
    const bytes = encode(text, style.encoding);
    files.push({ path, goodRows: table.rows.length, badLines });
    sources.push(memorySource(path, bytes, style.pieceLength));
  };
  add('first.csv', style.layout === 'wide' ? wideTable(random, style, cases, wholeStartsMs) : longTable(random, style, cases, wholeStartsMs));
  const drugs = drugTable(style, cases, wholeStartsMs);
  if (drugs.rows.length > 0) add('second.csv', drugs);
  return { seed, style, cases: withWrittenBoluses(style, cases), files, sources };
}

/** A clock without a date or with seconds elapsed cannot say that something came before the first row. */
function canBeWritten(style: Style, atMs: number): boolean {
  return atMs >= 0 || (style.clock !== 'time of day' && style.clock !== 'elapsed s');
}

function withWrittenBoluses(style: Style, cases: readonly TrueCase[]): TrueCase[] {
  return cases.map((c) => ({ ...c, boluses: c.boluses.filter((b) => canBeWritten(style, b.atMs)) }));
}

interface Table {
  readonly heading: readonly string[];
  readonly units: readonly string[] | null;
  readonly rows: readonly (readonly string[])[];
}

/** What a sensor showed at a row: SpO2, pulse, perfusion index. NaN: nothing. */
interface Reading {
  readonly spo2: number;
  readonly pulse: number;
  readonly index: number;
}

function readings(random: Random, truth: TrueCase, site: TrueSite): Reading[] {
  let spo2 = 97;
  return truth.rowMs.map((t) => {
    spo2 = Math.min(100, Math.max(91, spo2 + 0.15 * (97 - spo2) + 0.6 * random.normal()));
    const isLost = t < site.onMs || site.losses.some((l) => t >= l.startMs && t < l.endMs);
    const pulse = 66 + 4 * Math.sin(t / 300_000) + random.normal();
    const index = Math.max(0.5, 2.5 + 0.4 * random.normal());
    return isLost ? { spo2: NaN, pulse: NaN, index: NaN } : { spo2, pulse, index };
  });
}

function heartRates(random: Random, truth: TrueCase): number[] {
  return truth.rowMs.map((t) => 66 + 4 * Math.sin(t / 300_000) + 0.7 * random.normal());
}

const inGap = (truth: TrueCase, t: number): boolean => truth.recordGaps.some((g) => t >= g.startMs && t < g.endMs);

function wideTable(random: Random, style: Style, cases: readonly TrueCase[], startsMs: readonly number[]): Table {
  // All cases of one file must have the same columns: those of every site that occurs.
  const sites = [...new Set(cases.flatMap((c) => c.sites.map((s) => s.site)))];
  const siteColumns = style.siteIn === 'column' ? ['' as const] : sites;
  const hasPerfusion = cases.some((c) => c.hasPerfusion);
  const hasHeartRate = cases.some((c) => c.hasHeartRate);
  const heading = [
    ...(style.caseColumn ? [caseHeading(style)] : []),
    timeHeading(style),
    ...(style.siteIn === 'column' ? ['Site'] : []),
    ...siteColumns.flatMap((site) => sensorNames(style, site === 'unstated' ? '' : site, hasPerfusion)),
    ...(hasHeartRate ? [heartName(style)] : []),
  ];
  const units = style.unitRow
    ? [...(style.caseColumn ? [''] : []), '', ...(style.siteIn === 'column' ? [''] : []), ...siteColumns.flatMap(() => [style.fraction ? '' : '%', '/min', ...(hasPerfusion ? ['%'] : [])]), ...(hasHeartRate ? ['/min'] : [])]
    : null;
  const rows: string[][] = [];
  cases.forEach((truth, i) => {
    const bySite = new Map(truth.sites.map((s) => [s.site, readings(random, truth, s)]));
    const heart = heartRates(random, truth);
    truth.rowMs.forEach((t, k) => {
      const stopped = inGap(truth, t);
      if (stopped && !style.emptyGapRows) return;
      const sensors = style.siteIn === 'column' ? [truth.sites[0]?.site ?? 'finger'] : siteColumns;
      rows.push([
        ...(style.caseColumn ? [truth.caseId] : []),
        clockText(style.clock, startsMs[i] as number, t),
        ...(style.siteIn === 'column' ? [truth.sites[0]?.site ?? ''] : []),
        ...sensors.flatMap((site) => {
          const reading = stopped || site === '' ? undefined : bySite.get(site)?.[k];
          return sensorCells(style, reading, hasPerfusion, truth.hasPerfusion);
        }),
        ...(hasHeartRate ? [!truth.hasHeartRate ? '' : stopped ? fillerFor(style, 'rate') : number(style, heart[k] as number, 0)] : []),
      ]);
    });
  });
  return { heading, units, rows };
}

function sensorCells(style: Style, reading: Reading | undefined, hasPerfusion: boolean, recordsPerfusion: boolean): string[] {
  const lost = reading === undefined || Number.isNaN(reading.spo2);
  const cells = lost ? [fillerFor(style, 'spo2'), fillerFor(style, 'rate')] : [spo2Text(style, reading.spo2), number(style, reading.pulse, 0)];
  // A case that records no index leaves the column of the others empty.
  if (hasPerfusion) cells.push(!recordsPerfusion ? '' : lost ? fillerFor(style, 'rate') : number(style, reading.index, 2));
  return cells;
}

/** A rate can be 127, so that filler stands only where SpO2 would. */
function fillerFor(style: Style, what: 'spo2' | 'rate'): string {
  const filler = style.filler ?? '';
  return filler === '127' && what === 'rate' ? '' : filler;
}

function longTable(random: Random, style: Style, cases: readonly TrueCase[], startsMs: readonly number[]): Table {
  const heading = [...(style.caseColumn ? [caseHeading(style)] : []), timeHeading(style), 'Name', ...(style.siteIn === 'column' ? ['Site'] : []), 'Value', 'Unit'];
  const rows: string[][] = [];
  cases.forEach((truth, i) => {
    const heart = heartRates(random, truth);
    const sensors = truth.sites.map((site) => ({ site: site.site === 'unstated' ? '' : site.site, shown: readings(random, truth, site) }));
    truth.rowMs.forEach((t, k) => {
      if (inGap(truth, t)) return;
      const put = (name: string, site: string, value: string | null, unit: string): void => {
        if (value === null) return;
        rows.push([...(style.caseColumn ? [truth.caseId] : []), clockText(style.clock, startsMs[i] as number, t), name, ...(style.siteIn === 'column' ? [site] : []), value, unit]);
      };
      for (const { site, shown } of sensors) {
        const reading = shown[k] as Reading;
        const names = sensorNames(style, style.siteIn === 'name' ? site : '', truth.hasPerfusion, true);
        const lost = Number.isNaN(reading.spo2);
        const filler = (what: 'spo2' | 'rate'): string | null => (style.filler === null ? null : fillerFor(style, what));
        put(names[0] as string, site, lost ? filler('spo2') : spo2Text(style, reading.spo2), style.fraction ? '' : '%');
        put(names[1] as string, site, lost ? filler('rate') : number(style, reading.pulse, 0), '/min');
        if (truth.hasPerfusion) put(names[2] as string, site, lost ? filler('rate') : number(style, reading.index, 2), '%');
      }
      if (truth.hasHeartRate) put(heartName(style, true), '', number(style, heart[k] as number, 0), '/min');
    });
  });
  return { heading, units: null, rows };
}

function drugTable(style: Style, cases: readonly TrueCase[], startsMs: readonly number[]): Table {
  const rows: string[][] = [];
  cases.forEach((truth, i) => {
    for (const bolus of truth.boluses) {
      if (!canBeWritten(style, bolus.atMs)) continue;
      const amount = String(bolus.amount).replace('.', style.mark);
      const cells = style.doses === 'columns' ? [bolus.inn, amount, bolus.unit] : [`${bolus.inn} ${amount} ${bolus.unit} IV`];
      rows.push([...(style.caseColumn ? [truth.caseId] : []), clockText(style.clock, startsMs[i] as number, bolus.atMs), ...cells]);
    }
  });
  const heading = [...(style.caseColumn ? [caseHeading(style)] : []), timeHeading(style), ...(style.doses === 'columns' ? ['Drug', 'Dose', 'Unit'] : ['Medication'])];
  return { heading, units: null, rows };
}

const caseHeading = (style: Style): string => (style.naming === 'snake' ? 'case_id' : 'Case ID');

function timeHeading(style: Style): string {
  if (style.clock === 'elapsed s') return style.naming === 'snake' ? 'elapsed_s' : 'Elapsed (s)';
  return style.naming === 'snake' ? 'timestamp' : 'Time';
}

function sensorNames(style: Style, site: string, hasPerfusion: boolean, bare = false): string[] {
  const place = site === '' ? '' : ` ${site}`;
  const percent = bare || style.fraction || style.unitRow ? '' : ' (%)';
  const names =
    style.naming === 'short'
      ? [`SpO2${place}${percent}`, `PR${place}`, `PI${place}`]
      : style.naming === 'spelled'
        ? [`SpO2${place}${percent}`, `Pulse rate${place}`, `Perfusion index${place}`]
        : [`spo2${place}`, `pulse_rate${place}`, `perfusion_index${place}`].map((n) => n.replaceAll(' ', '_'));
  return hasPerfusion ? names : names.slice(0, 2);
}

function heartName(style: Style, bare = false): string {
  if (style.naming === 'short') return bare || style.unitRow ? 'HR' : 'HR (/min)';
  return style.naming === 'spelled' ? 'Heart rate' : 'heart_rate';
}

function number(style: Style, value: number, digits: number): string {
  return value.toFixed(digits).replace('.', style.mark);
}

function spo2Text(style: Style, value: number): string {
  return style.fraction ? number(style, value / 100, 2) : number(style, value, 0);
}

const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
const two = (x: number): string => String(x).padStart(2, '0');

function clockText(clock: Clock, startMs: number, relativeMs: number): string {
  const ms = startMs + relativeMs;
  const d = new Date(ms);
  const [y, m, day] = [d.getUTCFullYear(), two(d.getUTCMonth() + 1), two(d.getUTCDate())];
  const hms = `${two(d.getUTCHours())}:${two(d.getUTCMinutes())}:${two(d.getUTCSeconds())}`;
  switch (clock) {
    case 'iso': return `${y}-${m}-${day} ${hms}`;
    case 'iso T': return `${y}-${m}-${day}T${hms}`;
    case 'iso with zone': return `${y}-${m}-${day}T${hms}+02:00`;
    case 'day first slashes': return `${day}/${m}/${y} ${hms}`;
    case 'day first dots': return `${day}.${m}.${y} ${hms}`;
    case 'month first': return `${m}/${day}/${y} ${hms}`;
    case 'month first 12-hour': {
      const h = d.getUTCHours();
      return `${m}/${day}/${y} ${h % 12 === 0 ? 12 : h % 12}:${hms.slice(3)} ${h < 12 ? 'AM' : 'PM'}`;
    }
    case 'day month-name': return `${day}-${MONTHS[d.getUTCMonth()]}-${y} ${hms}`;
    case 'unix s': return String(ms / 1000);
    case 'unix ms': return String(ms);
    case 'elapsed s': return String(relativeMs / 1000);
    case 'time of day': return hms;
  }
}

function toText(random: Random, style: Style, table: Table): { text: string; badLines: number[] } {
  const quote = (cell: string): string => (cell.includes(style.delimiter) || cell.includes('"') ? `"${cell.replaceAll('"', '""')}"` : cell);
  const line = (cells: readonly string[]): string => cells.map(quote).join(style.delimiter);
  const lines = style.frame ? ['Kelpmouth General Hospital', 'Export of one list', ''] : [];
  lines.push(line(table.heading));
  if (table.units !== null) lines.push(line(table.units));
  const badAt = new Set(Array.from({ length: table.rows.length > 50 ? style.badRows : 0 }, () => random.int(5, table.rows.length - 5)));
  const badLines: number[] = [];
  const timeAt = style.caseColumn ? 1 : 0;
  table.rows.forEach((cells, k) => {
    lines.push(line(cells));
    if (!badAt.has(k)) return;
    lines.push(line(cells.map((cell, i) => (i === timeAt ? random.pick(['??', 'not recorded', '99:99:99', '31/31/2031 10:00']) : cell))));
    badLines.push(lines.length);
  });
  if (style.frame) lines.push('', 'End of export');
  return { text: lines.join(style.lineEnd) + style.lineEnd, badLines };
}

function encode(text: string, encoding: Style['encoding']): Uint8Array {
  switch (encoding) {
    case 'utf-8': return Buffer.from(text, 'utf8');
    case 'utf-8 with mark': return Buffer.from(`\ufeff${text}`, 'utf8');
    case 'utf-16le': return Buffer.from(`\ufeff${text}`, 'utf16le');
    case 'utf-16be': return Buffer.from(`\ufeff${text}`, 'utf16le').swap16();
    case 'latin-1': return Buffer.from(text.replace('Export of one list', 'Export at 20 °C'), 'latin1');
  }
}
