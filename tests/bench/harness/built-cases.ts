import type { CaseRecord } from '../../../core/model/case.ts';
import type { Channel } from '../../../core/model/channel.ts';
import type { Quantity } from '../../../core/model/quantity.ts';
import type { Site } from '../../../core/model/site.ts';
import { caseOf } from '../../builders/case-record.ts';
import { channelOf } from '../../builders/channel.ts';
import { drugOf } from '../../builders/drug.ts';
import { eventOf } from '../../builders/event.ts';

/** A small repeatable generator (mulberry32, public domain): the same number gives the same case. */
function generator(start: number): () => number {
  let state = start >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

interface Loss {
  readonly startS: number;
  readonly endS: number;
}

function lostAt(losses: readonly Loss[], second: number): boolean {
  return losses.some((loss) => second >= loss.startS && second < loss.endS);
}

interface Wave {
  readonly quantity: Quantity;
  readonly site?: Site;
  readonly base: number;
  readonly sway: number;
  readonly noise: number;
  readonly digits: number;
  readonly losses?: readonly Loss[];
  /** Seconds before each loss in which the value falls away to a fifth. */
  readonly fadeS?: number;
}

/** Returns a channel over rows every `intervalS`, with rows left out where the recorder stopped. */
function wave({ quantity, site, base, sway, noise, digits, losses = [], fadeS = 0 }: Wave, seconds: readonly number[], tMs: Float64Array, random: () => number): Channel {
  const value = new Float64Array(seconds.length);
  let drift = 0;
  seconds.forEach((second, i) => {
    drift = drift * 0.98 + (random() - 0.5) * noise;
    const next = losses.find((loss) => loss.startS > second && loss.startS - second < fadeS);
    const fade = next === undefined ? 1 : 0.2 + (0.8 * (next.startS - second)) / fadeS;
    const raw = (base + sway * Math.sin(second / 900) + drift) * fade;
    const scale = 10 ** digits;
    value[i] = lostAt(losses, second) ? NaN : Math.round(raw * scale) / scale;
  });
  return channelOf(site === undefined ? { quantity } : { quantity, site }, { tMs, value: quantity === 'spo2' ? value.map((v) => Math.min(100, v)) : value });
}

function rows(totalS: number, intervalS: number, stops: readonly Loss[]): { readonly seconds: number[]; readonly tMs: Float64Array } {
  const seconds: number[] = [];
  for (let second = 0; second <= totalS; second += intervalS) if (!lostAt(stops, second)) seconds.push(second);
  return { seconds, tMs: Float64Array.from(seconds, (second) => second * 1000) };
}

/** Returns an invented three-hour case: finger and ear lobe, dropouts, a record gap, boluses, an infusion, positions. */
export function threeHourCase(): CaseRecord {
  const random = generator(7);
  const { seconds, tMs } = rows(10_800, 5, [{ startS: 6300, endS: 6780 }]);
  const finger: Loss[] = [{ startS: 1500, endS: 1605 }, { startS: 2890, endS: 3350 }, { startS: 4200, endS: 4235 }, { startS: 7600, endS: 8500 }, { startS: 9600, endS: 9650 }];
  const ear: Loss[] = [{ startS: 0, endS: 3100 }, { startS: 5200, endS: 5300 }, { startS: 8100, endS: 8320 }, { startS: 10_100, endS: 10_801 }];
  const make = (spec: Wave): Channel => wave(spec, seconds, tMs, random);
  const cuffS: number[] = [];
  for (let second = 20; second < 10_800; second += 300) if (!(second > 6300 && second < 6780)) cuffS.push(second);
  const cuffMs = Float64Array.from(cuffS, (second) => second * 1000);
  const cuff = (quantity: Quantity, base: number): Channel =>
    channelOf({ quantity, layout: 'long' }, { tMs: cuffMs, value: Float64Array.from(cuffS, (second) => Math.round(base + 12 * Math.sin(second / 1400) + 6 * (random() - 0.5))) });
  const perfusionEar = make({ quantity: 'perfusion-index', site: 'ear lobe', base: 0.62, sway: 0.2, noise: 0.08, digits: 2, losses: ear });
  // A stretch of weak signal, doubtful by its perfusion index.
  for (let i = 0; i < seconds.length; i++) if ((seconds[i] ?? 0) >= 5600 && (seconds[i] ?? 0) < 5950) perfusionEar.value[i] = 0.2 + 0.05 * random();
  const temp = make({ quantity: 'temp-core', base: 36.1, sway: 0.3, noise: 0.02, digits: 1 });
  return caseOf({
    caseId: 'H-014',
    epochMs: Date.UTC(2031, 2, 4, 8, 12, 0),
    zone: 'Europe/Zurich',
    channels: [
      make({ quantity: 'spo2', site: 'finger', base: 97.5, sway: 1, noise: 0.5, digits: 0, losses: finger }),
      make({ quantity: 'spo2', site: 'ear lobe', base: 95.5, sway: 1.2, noise: 0.5, digits: 0, losses: ear }),
      make({ quantity: 'perfusion-index', site: 'finger', base: 2.2, sway: 0.8, noise: 0.2, digits: 2, losses: finger, fadeS: 240 }),
      perfusionEar,
      make({ quantity: 'pulse-rate', site: 'finger', base: 68, sway: 7, noise: 2, digits: 0, losses: finger }),
      make({ quantity: 'heart-rate', base: 69, sway: 7, noise: 2, digits: 0 }),
      make({ quantity: 'art-sys', base: 112, sway: 16, noise: 5, digits: 0, losses: [{ startS: 0, endS: 1200 }] }),
      make({ quantity: 'art-dia', base: 58, sway: 8, noise: 3, digits: 0, losses: [{ startS: 0, endS: 1200 }] }),
      make({ quantity: 'art-mean', base: 77, sway: 10, noise: 3, digits: 0, losses: [{ startS: 0, endS: 1200 }] }),
      cuff('nibp-sys', 108),
      cuff('nibp-dia', 56),
      cuff('nibp-mean', 74),
      { ...temp, value: temp.value.map((v, i) => (i % 12 === 0 ? v : NaN)) },
    ],
    drugs: [
      drugOf({ inn: 'phenylephrine', atS: 1340, amount: 100, atc: 'C01CA06' }),
      drugOf({ inn: 'phenylephrine', atS: 2700, amount: 100, atc: 'C01CA06' }),
      drugOf({ inn: 'ephedrine', atS: 2790, amount: 10, unit: 'mg', atc: 'C01CA26' }),
      drugOf({ inn: 'phenylephrine', atS: 4080, amount: 50, atc: 'C01CA06' }),
      drugOf({ inn: 'phenylephrine', atS: 4110, amount: 50, atc: 'C01CA06' }),
      drugOf({ inn: 'rocuronium', atS: 240, amount: 50, unit: 'mg', isVasopressor: false }),
      drugOf({ inn: 'propofol', atS: 180, amount: 160, unit: 'mg', isVasopressor: false }),
      drugOf({ inn: 'norepinephrine', atS: 5000, form: 'infusion start', amount: 0.05, unit: 'ug/kg/min', atc: 'C01CA03' }),
      drugOf({ inn: 'norepinephrine', atS: 7300, form: 'infusion rate', amount: 0.12, unit: 'ug/kg/min', atc: 'C01CA03' }),
      drugOf({ inn: 'norepinephrine', atS: 9900, form: 'infusion rate', amount: 0.04, unit: 'ug/kg/min', atc: 'C01CA03' }),
    ],
    events: [
      eventOf({ kind: 'anaesthesia start', atS: 30, text: 'Anaesthesia start' }),
      eventOf({ kind: 'position', atS: 1100, term: 'arms tucked', phase: 'start', text: 'Arms tucked' }),
      eventOf({ kind: 'position', atS: 1900, term: 'head down', phase: 'start', text: 'Head down 20 degrees' }),
      eventOf({ kind: 'position', atS: 9000, term: 'head down', phase: 'end', text: 'Table level' }),
      eventOf({ kind: 'surgery start', atS: 1700, text: 'Incision' }),
      eventOf({ kind: 'sensor on', atS: 3080, text: 'Second sensor to ear lobe', site: 'ear lobe' }),
      eventOf({ kind: 'sensor moved', atS: 8350, text: 'Ear clip reseated', site: 'ear lobe' }),
      eventOf({ kind: 'warming', atS: 7900, text: 'Hand warmed' }),
      eventOf({ kind: 'surgery end', atS: 10_300, text: 'Closure' }),
      eventOf({ kind: 'anaesthesia end', atS: 10_760, text: 'Anaesthesia end' }),
    ],
  });
}

/** Returns an invented case of `hours` at 1 Hz with eight channels in seven lanes, two sites, and dropouts of 30 s and more. */
export function eightChannelCase(hours: number): CaseRecord {
  const random = generator(11);
  const { seconds, tMs } = rows(Math.round(hours * 3600), 1, []);
  const losses: Loss[] = [];
  for (let start = 900; start < hours * 3600 - 900; start += 1500 + Math.floor(random() * 1200)) losses.push({ startS: start, endS: start + 30 + Math.floor(random() * 200) });
  const make = (spec: Wave): Channel => wave(spec, seconds, tMs, random);
  return caseOf({
    caseId: 'H-100',
    channels: [
      make({ quantity: 'spo2', site: 'finger', base: 97, sway: 2, noise: 1, digits: 0, losses }),
      make({ quantity: 'spo2', site: 'forehead', base: 96, sway: 2, noise: 1, digits: 0 }),
      make({ quantity: 'perfusion-index', site: 'finger', base: 2, sway: 1, noise: 0.3, digits: 2, losses }),
      make({ quantity: 'pulse-rate', site: 'finger', base: 70, sway: 10, noise: 3, digits: 0, losses }),
      make({ quantity: 'heart-rate', base: 71, sway: 10, noise: 3, digits: 0 }),
      make({ quantity: 'art-mean', base: 78, sway: 14, noise: 4, digits: 0 }),
      make({ quantity: 'temp-core', base: 36.2, sway: 0.4, noise: 0.05, digits: 1 }),
      make({ quantity: 'etco2', base: 36, sway: 4, noise: 1, digits: 0 }),
    ],
    drugs: losses.map((loss) => drugOf({ inn: 'phenylephrine', atS: loss.startS - 240, amount: 100 })),
    events: [eventOf({ kind: 'anaesthesia start', atS: 0, text: 'Anaesthesia start' })],
  });
}

/** Returns an invented case of `hours` at 1 Hz that fills `lanes` lanes: four with rules of drawing, the others drawn as recorded. */
export function manyLaneCase(hours: number, lanes: number): CaseRecord {
  const random = generator(13);
  const { seconds, tMs } = rows(Math.round(hours * 3600), 1, []);
  const losses: Loss[] = [{ startS: 1200, endS: 1290 }, { startS: 4000, endS: 4300 }, { startS: 7000, endS: 7060 }];
  const make = (spec: Wave): Channel => wave(spec, seconds, tMs, random);
  const known = [
    make({ quantity: 'spo2', site: 'finger', base: 97, sway: 2, noise: 1, digits: 0, losses }),
    make({ quantity: 'perfusion-index', site: 'finger', base: 2, sway: 1, noise: 0.3, digits: 2, losses }),
    make({ quantity: 'heart-rate', base: 71, sway: 10, noise: 3, digits: 0 }),
    make({ quantity: 'etco2', base: 36, sway: 4, noise: 1, digits: 0 }),
  ];
  const further = Array.from({ length: Math.max(0, lanes - known.length) }, (_, i): Channel => {
    const channel = make({ quantity: 'other', base: 20 + i * 3, sway: 2 + i, noise: 0.5, digits: 1 });
    const label = `Trend ${i + 1}`;
    return { ...channel, channelId: `other:${label}`, label, unit: 'units' };
  });
  return caseOf({ caseId: `H-${lanes}`, channels: [...known, ...further].slice(0, lanes) });
}
