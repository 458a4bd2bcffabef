import type { ColumnReport, Guess } from '../model/import-report.ts';
import type { ColumnReading, ReadingRules } from '../model/mapping.ts';
import { MARK } from '../model/channel.ts';
import { QUANTITY_FACTS, type Quantity } from '../model/quantity.ts';
import type { Site } from '../model/site.ts';
import { normalizeMeasureUnit } from '../terms/measure-unit.ts';
import { assignSensors, type SensorEntry } from './assign-sensors.ts';
import { isFillerWord } from './cell-words.ts';
import { channelWords } from './channel-words.ts';
import type { CodedName } from './coded-name.ts';
import { GrowableFloat64, GrowableUint32, GrowableUint8 } from './growable.ts';
import { orderRows, type ValueColumn } from './order-rows.ts';
import { CELL, parseNumberText } from './parse-number.ts';
import { columnRule } from './plan-table.ts';
import type { RawChannel } from './reading.ts';
import { isFillerNumber, settleChannel } from './settle-channel.ts';
import type { CellStatement, StatedWords } from './stated-words.ts';

/** A case with more names, places and units than this is no case; also a bound on the work of putting them in order. */
const MAX_SERIES = 1000;

/** A measurement's name as it occurs in one file, with what was decided for it. */
export interface BookName extends CodedName {
  readonly id: number;
  readonly rule: ColumnReading | undefined;
  /** What a person said about its cells; null when nothing. */
  readonly said: CellStatement | null;
  nValues: number;
  nMissing: number;
  readAs: { words: string; quantity: Quantity; site: Site | null } | null;
}

/** Where a value was measured: `device` tells sensors apart that share site and name. */
export interface ValuePlace {
  readonly site: Site | null;
  readonly sensor: string;
  readonly device: string;
}

interface Series extends SensorEntry {
  readonly name: BookName;
  readonly unit: string;
  readonly device: string;
  readonly tMs: GrowableFloat64;
  readonly line: GrowableUint32;
  readonly value: GrowableFloat64;
  readonly mark: GrowableUint8;
  nNumbers: number;
}

/** The values of one case, by name, place and unit. */
export interface BookSlot {
  readonly series: Map<string, Series>;
}

/** One series in order and in its canonical unit. */
interface Track extends SensorEntry {
  readonly name: BookName;
  readonly device: string;
  readonly unit: string;
  tMs: Float64Array;
  line: Uint32Array;
  value: Float64Array;
  mark: Uint8Array;
}

export interface SettledSlot {
  readonly channels: RawChannel[];
  readonly nDuplicates: number;
  readonly nConflicts: number;
  readonly firstConflictLine: number | null;
}

/** Gathers named values that come one by one, each with its own time and unit, and makes channels of them. */
export class ValueBook {
  private readonly guessOf = new Map<string, Guess>();
  private readonly said = new Set<string>();
  private readonly names = new Map<string, BookName>();

  constructor(
    private readonly rules: ReadingRules | null,
    private readonly words: StatedWords,
  ) {}

  /** Returns the name for what codes say; `key` is what makes it the same name again. A rule of the mapping outweighs the codes. */
  name(key: string, make: () => CodedName): BookName {
    const known = this.names.get(key);
    if (known !== undefined) return known;
    const coded = make();
    const code = /\(([^()]+)\)$/.exec(coded.label)?.[1] ?? coded.label;
    const rule = columnRule({ heading: coded.label, index: -2 }, this.rules) ?? columnRule({ heading: code, index: -2 }, this.rules) ?? columnRule({ heading: coded.words, index: -2 }, this.rules);
    const quantity = rule?.quantity ?? coded.quantity;
    const name: BookName = {
      ...coded,
      quantity,
      site: rule?.site ?? (QUANTITY_FACTS[quantity].ofSensor ? (coded.site ?? 'unstated') : null),
      sensor: rule?.sensor ?? coded.sensor,
      id: this.names.size,
      rule,
      said: this.words.of(rule),
      nValues: 0,
      nMissing: 0,
      readAs: null,
    };
    this.names.set(key, name);
    if (coded.warning !== null && rule === undefined) this.said.add(coded.warning);
    if (coded.assumption !== null && rule === undefined) {
      this.guess({
        field: `columns.${coded.label}`,
        taken: `"${coded.label}" is read as ${QUANTITY_FACTS[quantity].name}.`,
        because: coded.assumption,
        certainty: 'assumed',
        alternatives: [{ label: 'Leave these values out', rules: { columns: { [coded.label]: { role: 'ignore' } } } }],
      });
    }
    return name;
  }

  private guess(guess: Guess): void {
    if (!this.guessOf.has(guess.field)) this.guessOf.set(guess.field, guess);
  }

  /** Decisions that the names or numbers did not force; complete once every slot is settled. */
  get guesses(): readonly Guess[] {
    return [...this.guessOf.values()];
  }

  get notes(): readonly string[] {
    return [...this.said];
  }

  /** Returns an empty slot for one case. */
  slot(): BookSlot {
    return { series: new Map() };
  }

  /** Takes one value; NaN with a mark is a value that the file says is missing. Returns why it cannot be taken, null when it was. */
  add(slot: BookSlot, name: BookName, place: ValuePlace, unit: string, tMs: number, value: number, mark: number, line: number): string | null {
    if (name.rule?.role === 'ignore') {
      name.nValues += 1;
      return null;
    }
    const isFiller = !Number.isNaN(value) && (isFillerNumber(value, name.quantity) || name.said?.takesNumber(value) === true);
    const series = this.seriesOf(slot, name, place, normalizeMeasureUnit(unit) ?? unit);
    if (series === null) return `more than ${MAX_SERIES} kinds of values in one case`;
    series.tMs.push(tMs);
    series.line.push(line);
    series.value.push(isFiller ? NaN : value);
    series.mark.push(isFiller ? MARK.sentinel : mark);
    if (isFiller || Number.isNaN(value)) name.nMissing += 1;
    else {
      name.nValues += 1;
      series.nNumbers += 1;
    }
    return null;
  }

  /**
   * Takes a text in the place of a value when it is a filler, or carries a mark that a person stated; null when it was taken, why it
   * cannot be taken, or `undefined` when nothing was said of it.
   */
  addText(slot: BookSlot, name: BookName, place: ValuePlace, tMs: number, text: string, mark: number, line: number): string | null | undefined {
    if (isFillerWord(text) || name.said?.takesText(text) === true) return this.add(slot, name, place, '', tMs, NaN, MARK.sentinel, line);
    const rest = name.said?.withoutFlag(text) ?? null;
    if (rest === null) return undefined;
    const { value, code } = parseNumberText(rest, '.');
    const isNumber = code === CELL.number;
    return this.add(slot, name, place, '', tMs, isNumber ? value : NaN, (isNumber ? mark : MARK.sentinel) | MARK.flagged, line);
  }

  private seriesOf(slot: BookSlot, name: BookName, place: ValuePlace, unit: string): Series | null {
    const sited = QUANTITY_FACTS[name.quantity].ofSensor || name.quantity === 'heart-rate';
    const site = sited && name.rule?.site === undefined ? place.site : null;
    const sensor = sited ? place.sensor : '';
    const device = sited ? place.device : '';
    const key = `${name.id}\u0000${unit}\u0000${site ?? ''}\u0000${sensor}\u0000${device}`;
    let series = slot.series.get(key);
    if (series === undefined) {
      if (slot.series.size >= MAX_SERIES) return null;
      // A heart rate at a site of a sensor is its pulse rate (as findQuantity has it for headings).
      const quantity = name.quantity === 'heart-rate' && site !== null && name.rule?.quantity === undefined ? 'pulse-rate' : name.quantity;
      series = {
        name,
        quantity,
        site: site ?? name.site ?? 'unstated',
        sensor: [name.sensor, sensor].filter((part) => part !== '').join(' '),
        unit,
        device,
        tMs: new GrowableFloat64(),
        line: new GrowableUint32(),
        value: new GrowableFloat64(),
        mark: new GrowableUint8(),
        nNumbers: 0,
      };
      slot.series.set(key, series);
    }
    return series;
  }

  /** Puts the values of one slot into another of the same case; the first is empty afterwards. */
  merge(from: BookSlot, into: BookSlot): void {
    for (const [key, series] of from.series) {
      const own = into.series.get(key);
      if (own === undefined) {
        into.series.set(key, series);
        continue;
      }
      append(series, own);
    }
    from.series.clear();
  }

  /** Puts missing values, which state no unit, with the numbers of their name and place. */
  private joinMissing(slot: BookSlot): void {
    const placeOf = (series: Series): string => `${series.name.id}\u0000${series.site}\u0000${series.sensor}\u0000${series.device}`;
    const most = new Map<string, Series>();
    for (const series of slot.series.values()) if (series.nNumbers > (most.get(placeOf(series))?.nNumbers ?? 0)) most.set(placeOf(series), series);
    for (const [key, series] of slot.series) {
      const beside = most.get(placeOf(series));
      if (series.unit !== '' || series.nNumbers > 0 || beside === undefined) continue;
      append(series, beside);
      slot.series.delete(key);
    }
  }

  /**
   * Returns the channels of one case and counts of values that repeat or contradict one another. Values of one quantity and
   * place that come under several codes or units are one channel unless they run side by side and differ.
   * `deviceSite` says where a device's sensor sits when its words do. The slot is empty afterwards.
   */
  settle(slot: BookSlot, deviceSite: (device: string) => Site | null): SettledSlot {
    this.joinMissing(slot);
    const tracks: Track[] = [];
    let nDuplicates = 0;
    let nConflicts = 0;
    let firstConflictLine: number | null = null;
    for (const series of slot.series.values()) {
      const { name } = series;
      const column: ValueColumn = { quantity: series.quantity, value: series.value.take(), mark: series.mark.take() };
      const { tMs, line, ...found } = orderRows(series.tMs.take(), series.line.take(), [column]);
      nDuplicates += found.nDuplicates;
      nConflicts += found.nConflicts;
      if (found.firstConflictLine !== null) firstConflictLine = Math.min(firstConflictLine ?? Infinity, found.firstConflictLine);
      if (series.quantity === 'other' && isConstant(column.value)) continue;
      const settled = settleChannel(name.label, series.quantity, name.rule?.unit ?? series.unit, column.value, column.mark, name.rule?.unit !== undefined);
      if (settled.guess !== null) this.guess(settled.guess);
      if (settled.note !== null) this.said.add(settled.note);
      const site = series.site === 'unstated' && series.device !== '' ? (deviceSite(series.device) ?? series.site) : series.site;
      tracks.push({ name, device: series.device, quantity: settled.quantity, site, sensor: series.sensor, unit: settled.unit, tMs, line, value: column.value, mark: column.mark });
    }
    slot.series.clear();
    const joined = joinTracks(tracks);
    const ofSensor = joined.filter((track) => QUANTITY_FACTS[track.quantity].ofSensor);
    this.numberDevices(ofSensor);
    for (const note of assignSensors(ofSensor)) this.said.add(note);
    const channels = joined.map(({ name, quantity, site, sensor, unit, tMs, line, value, mark }): RawChannel => {
      const isOfSensor = QUANTITY_FACTS[quantity].ofSensor;
      const place = { site: isOfSensor ? site : null, sensor: isOfSensor ? sensor : '' };
      return { quantity, label: name.label, unit, ...place, layout: 'long', tMs, value, mark, line };
    });
    for (const { name, quantity, site, sensor, unit } of [...joined, ...tracks]) {
      const shownSite = QUANTITY_FACTS[quantity].ofSensor ? site : null;
      name.readAs ??= { words: channelWords(quantity, shownSite, shownSite === null ? '' : sensor, unit), quantity, site: shownSite };
    }
    return { channels, nDuplicates, nConflicts, firstConflictLine };
  }

  /** Tells sensors of one case apart by device where more than one device measured SpO2. */
  private numberDevices(ofSensor: readonly Track[]): void {
    const devices = [...new Set(ofSensor.filter((series) => series.quantity === 'spo2').map((series) => series.device))];
    if (devices.length < 2) return;
    for (const series of ofSensor) {
      const at = devices.indexOf(series.device);
      if (at !== -1 && series.sensor === '') series.sensor = String(at + 1);
    }
    this.said.add(`SpO2 came from ${devices.length} devices in one case; their values are kept apart as sensors 1 to ${devices.length}.`);
  }

  /** Returns what each name was read as, in the order in which the names were met. */
  columns(): ColumnReport[] {
    return [...this.names.values()].map((name) => ({
      heading: name.label,
      readAs: name.rule?.role === 'ignore' ? 'not used (as stated)' : (name.readAs?.words ?? 'not used (the same in every row)'),
      quantity: name.readAs?.quantity ?? null,
      site: name.readAs?.site ?? null,
      values: name.nValues,
      missing: name.nMissing,
    }));
  }
}

/** Puts the samples of one series behind those of another; the first is empty afterwards. */
function append(from: Series, into: Series): void {
  for (const value of from.tMs.take()) into.tMs.push(value);
  for (const value of from.line.take()) into.line.push(value);
  for (const value of from.value.take()) into.value.push(value);
  for (const value of from.mark.take()) into.mark.push(value);
  into.nNumbers += from.nNumbers;
}

/** Makes one track of those of one quantity and place that go on from one another or say the same; 'other' tracks stay as they are. */
function joinTracks(tracks: readonly Track[]): Track[] {
  const joined: Track[] = [];
  const byPlace = new Map<string, Track[]>();
  for (const track of tracks) {
    const key = `${track.quantity}\u0000${track.unit}\u0000${track.site}\u0000${track.sensor}\u0000${track.device}`;
    const beside = track.quantity === 'other' ? [] : (byPlace.get(key) ?? []);
    const same = beside.find((other) => areOne(other, track));
    if (same !== undefined) {
      join(same, track);
      continue;
    }
    joined.push(track);
    byPlace.set(key, [...beside, track]);
  }
  return joined;
}

/** Whether two tracks can be one sensor: they share no instant, or nearly always say the same at those they share. */
function areOne(a: Track, b: Track): boolean {
  let common = 0;
  let same = 0;
  for (let i = 0, j = 0; i < a.tMs.length && j < b.tMs.length; ) {
    const ta = a.tMs[i] ?? 0;
    const tb = b.tMs[j] ?? 0;
    if (ta === tb) {
      const va = a.value[i] ?? NaN;
      const vb = b.value[j] ?? NaN;
      if (!Number.isNaN(va) && !Number.isNaN(vb)) {
        common += 1;
        if (va === vb) same += 1;
      }
    }
    if (ta <= tb) i += 1;
    if (tb <= ta) j += 1;
  }
  return same >= common * 0.98;
}

function join(into: Track, from: Track): void {
  const tMs = new Float64Array(into.tMs.length + from.tMs.length);
  const line = new Uint32Array(tMs.length);
  const value = new Float64Array(tMs.length);
  const mark = new Uint8Array(tMs.length);
  for (const [track, at] of [[into, 0], [from, into.tMs.length]] as const) {
    tMs.set(track.tMs, at);
    line.set(track.line, at);
    value.set(track.value, at);
    mark.set(track.mark, at);
  }
  const column: ValueColumn = { quantity: into.quantity, value, mark };
  const ordered = orderRows(tMs, line, [column]);
  into.tMs = ordered.tMs;
  into.line = ordered.line;
  into.value = column.value;
  into.mark = column.mark;
}

function isConstant(value: Float64Array): boolean {
  let first = NaN;
  for (let i = 0; i < value.length; i += 1) {
    const v = value[i] as number; // i < length
    if (v !== v) continue; // only NaN differs from itself
    if (Number.isNaN(first)) first = v;
    else if (v !== first) return false;
  }
  return true;
}
