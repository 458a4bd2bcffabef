import { describe, expect, it } from 'vitest';
import type { CaseEvent } from '../../../../core/model/event.ts';
import type { DrugRecord } from '../../../../core/model/drug.ts';
import type { Channel } from '../../../../core/model/channel.ts';
import { findExposures } from '../../../../core/linkage/exposures.ts';
import type { BareExposure } from '../../../../core/model/prepared-case.ts';
import { linkDropout } from '../../../../core/linkage/link.ts';
import { pressureBefore } from '../../../../core/linkage/pressure-before.ts';
import { analyzeCase } from '../../../../core/pipeline/analyze-case.ts';
import { DEFAULT_PARAMETERS } from '../../../../core/model/parameters.ts';
import { caseOf } from '../../../builders/case-record.ts';
import { alternating, channelAt, regularChannel, repeat } from '../../../builders/channel.ts';
import { drugOf } from '../../../builders/drug.ts';
import { eventOf } from '../../../builders/event.ts';
import { parametersWith } from '../../../builders/parameters.ts';

const BOUNDS = { startMs: 0, endMs: 7_200_000, startFrom: 'first row', endFrom: 'last row' } as const;
const exposuresOf = (spec: { drugs?: DrugRecord[]; events?: CaseEvent[] }) => findExposures(caseOf(spec), BOUNDS, DEFAULT_PARAMETERS).exposures;
const brief = (list: readonly BareExposure[]) => list.map((e) => [e.kind, e.label, e.atMs / 1000, e.windowMs === null ? null : e.windowMs / 1000, e.endMs === null ? null : e.endMs / 1000]);

describe('exposures', () => {
  it('look back by drug', () => {
    const drugs = ['norepinephrine', 'phenylephrine', 'epinephrine', 'ephedrine', 'metaraminol', 'vasopressin', 'etilefrine'].map((inn, i) => drugOf({ inn, atS: i }));
    // Source: analysis-spec 7 (5, 10, 10, 15, 20, 20 min; any other 10 min).
    expect(exposuresOf({ drugs }).map((e) => e.windowMs! / 60_000)).toEqual([5, 10, 10, 15, 20, 20, 10]);
  });

  it('are vasopressors only', () => {
    expect(exposuresOf({ drugs: [drugOf({ inn: 'atropine', atS: 5, isVasopressor: false }), drugOf({ inn: 'propofol', atS: 6, isVasopressor: false, form: 'infusion start' })] })).toEqual([]);
  });

  it('take an infusion from zero and a rise of a quarter or more, nothing else', () => {
    const step = (atS: number, form: DrugRecord['form'], amount: number | null, unit?: string) => drugOf({ inn: 'norepinephrine', atS, form, amount, ...(unit === undefined ? {} : { unit }) });
    const list = exposuresOf({
      drugs: [
        step(0, 'infusion start', 4),
        step(600, 'infusion rate', 4.9),
        step(1200, 'infusion rate', 6.125),
        step(1800, 'infusion rate', 3),
        step(2400, 'infusion rate', 0),
        step(3000, 'infusion rate', 2),
        step(3600, 'infusion stop', null),
      ],
    });
    expect(brief(list)).toEqual([
      ['infusion change', 'norepinephrine', 0, 900, 2400],
      ['infusion change', 'norepinephrine', 1200, 900, null],
      ['infusion change', 'norepinephrine', 3000, 900, 3600],
    ]);
  });

  it('claim no rise between different units, and say so', () => {
    const drugs = [drugOf({ inn: 'norepinephrine', atS: 0, form: 'infusion start', amount: 4, unit: 'mL/h' }), drugOf({ inn: 'norepinephrine', atS: 600, form: 'infusion rate', amount: 8, unit: 'ug/min' })];
    const { exposures, findings } = findExposures(caseOf({ drugs }), BOUNDS, DEFAULT_PARAMETERS);
    expect(exposures).toHaveLength(1);
    expect(findings.map((f) => [f.code, f.count])).toEqual([['infusion-rate-not-compared', 1]]);
  });

  it('let a position last to its end, to one that excludes it, or to the end of the case', () => {
    const position = (term: string, atS: number, phase: CaseEvent['phase'] = 'start') => eventOf({ kind: 'position', term, atS, phase });
    const list = exposuresOf({
      events: [position('arms tucked', 100), position('prone', 200), position('head down', 300), position('supine', 1000), position('level', 1500), position('arms tucked', 6000, 'end')],
    });
    expect(brief(list)).toEqual([
      ['position', 'arms tucked', 100, 900, 6000],
      ['position', 'prone', 200, 900, 1000],
      ['position', 'head down', 300, 900, 1500],
      ['position', 'supine', 1000, 900, 7200],
      ['position', 'level', 1500, 900, 7200],
      ['position', 'arms tucked ended', 6000, 900, null],
    ]);
  });

  it('let bypass last from start to end, and look back like a position where it is only named', () => {
    const list = exposuresOf({
      events: [eventOf({ kind: 'bypass', term: 'bypass', atS: 100, phase: 'start' }), eventOf({ kind: 'bypass', term: 'bypass', atS: 900, phase: 'end' }), eventOf({ kind: 'cross-clamp', term: 'cross-clamp', atS: 200 })],
    });
    expect(brief(list)).toEqual([
      ['bypass', 'bypass', 100, null, 900],
      ['cross-clamp', 'cross-clamp', 200, 900, null],
    ]);
  });
});

describe('links', () => {
  const exposure = (atS: number, more: Partial<BareExposure> = {}): BareExposure => ({
    exposureId: `at ${atS}`, kind: 'vasopressor bolus', label: 'phenylephrine', atc: null, dose: 100, unit: 'ug', atMs: atS * 1000, endMs: null, windowMs: 600_000, manual: false, flags: [], sourceText: '', ...more,
  });
  const onset = { lastGoodMs: 1_000_000, firstLostMs: 1_010_000, endMs: 1_200_000 };
  const certainty = (e: BareExposure) => linkDropout(onset, [e], 120_000).links[0]?.certainty ?? null;

  it('are certain when the whole onset lies within reach, both ends included', () => {
    expect([exposure(410), exposure(1000)].map(certainty)).toEqual(['certain', 'certain']);
  });

  it('are possible when part of the onset lies within reach', () => {
    expect([exposure(405), exposure(1005)].map(certainty)).toEqual(['possible', 'possible']);
  });

  it('are none beyond reach', () => {
    expect([exposure(399), exposure(400)].map(certainty)).toEqual([null, null]);
  });

  it('are possible at best where a typed time decides by less than 2 min', () => {
    const manual = (atS: number) => certainty(exposure(atS, { manual: true }));
    expect([manual(880), manual(881), manual(530), manual(529)]).toEqual(['certain', 'possible', 'certain', 'possible']);
  });

  it('reach as far as window or state, whichever is further', () => {
    const state = (endS: number) => certainty(exposure(100, { kind: 'position', endMs: endS * 1000 }));
    expect([state(1100), state(1005), state(900)]).toEqual(['certain', 'possible', null]);
    expect(certainty(exposure(500, { kind: 'position', endMs: 501_000 }))).toBe('certain');
  });

  it('stand nearest first; what came during is a response with a negative lead', () => {
    const { links, responses } = linkDropout(onset, [exposure(500), exposure(900), exposure(1010), exposure(1100), exposure(1200)], 120_000);
    expect(links.map((l) => [l.exposureId, l.leadMs])).toEqual([
      ['at 900', 105_000],
      ['at 500', 505_000],
    ]);
    expect(responses.map((l) => [l.exposureId, l.leadMs, l.certainty])).toEqual([
      ['at 1010', -5000, 'during'],
      ['at 1100', -95_000, 'during'],
    ]);
  });

  it('never take a moved sensor, a moved cuff or warming as preceding', () => {
    for (const kind of ['sensor', 'cuff moved', 'warming'] as const) expect(certainty(exposure(900, { kind }))).toBeNull();
  });
});

describe('pressure before', () => {
  const channel = (quantity: 'art-mean' | 'nibp-mean' | 'art-sys', points: readonly (readonly [number, number])[]): Channel => channelAt({ quantity }, points);

  it('is the invasive mean, else the cuff mean, else the systolic, of the 10 min before', () => {
    const art = channel('art-mean', [[100, 50], [500, 70], [1000, 60], [1100, 40]]);
    const cuff = channel('nibp-mean', [[900, 80]]);
    const systolic = channel('art-sys', [[900, 110]]);
    expect(pressureBefore([cuff, art], 1_000_000, 600_000)).toEqual({ quantity: 'art-mean', mean: 65, lowest: 60, n: 2 });
    expect(pressureBefore([systolic, cuff], 1_000_000, 600_000)).toEqual({ quantity: 'nibp-mean', mean: 80, lowest: 80, n: 1 });
    expect(pressureBefore([systolic], 1_000_000, 600_000)).toEqual({ quantity: 'art-sys', mean: 110, lowest: 110, n: 1 });
    expect(pressureBefore([], 1_000_000, 600_000)).toBeNull();
  });

  it('leaves out noughts and other implausible values', () => {
    expect(pressureBefore([channel('art-mean', [[900, 0], [950, 400]]), channel('nibp-mean', [[960, 66]])], 1_000_000, 600_000)?.quantity).toBe('nibp-mean');
  });
});

describe('a case with exposures', () => {
  const cells = [...alternating(96, 1000), ...repeat(null, 120), ...alternating(96, 1000)];
  const spo2 = regularChannel({ quantity: 'spo2', site: 'finger' }, cells);
  const heart = regularChannel({ quantity: 'heart-rate' }, alternating(60, cells.length));
  const analyze = (spec: { drugs?: DrugRecord[]; events?: CaseEvent[] }) => analyzeCase(caseOf({ channels: [spo2, heart], ...spec }), parametersWith({}), '0.0.0');

  it('counts the dropouts after each exposure, and that none followed', () => {
    const a = analyze({ drugs: [drugOf({ inn: 'ephedrine', atS: 200 }), drugOf({ inn: 'phenylephrine', atS: 800 }), drugOf({ inn: 'phenylephrine', atS: 1500 })] });
    expect(a.exposures.map((e) => [e.label, e.dropoutsAfter])).toEqual([['ephedrine', 1], ['phenylephrine', 1], ['phenylephrine', 0]]);
    expect(a.sites[0]!.dropouts[0]!.links.map((l) => l.leadMs / 1000)).toEqual([199.5, 799.5]);
  });

  it('lists what was done during the dropout', () => {
    const a = analyze({ events: [eventOf({ kind: 'warming', atS: 1050 }), eventOf({ kind: 'cuff moved', atS: 1060 }), eventOf({ kind: 'sensor moved', atS: 1090, site: 'finger' })] });
    expect(a.sites[0]!.dropouts[0]!.responses.map((r) => r.leadMs / 1000)).toEqual([-50.5, -60.5, -90.5]);
    expect(a.sites[0]!.dropouts[0]!.links).toEqual([]);
  });

  it('calls a dropout planned when bypass was running or the sensor was moved at its onset', () => {
    const patterns = (...events: CaseEvent[]) => analyze({ events }).sites[0]!.dropouts[0]!.patterns;
    const bypass = (from: number, to: number) => [eventOf({ kind: 'bypass', atS: from, phase: 'start' }), eventOf({ kind: 'bypass', atS: to, phase: 'end' })];
    expect(patterns(...bypass(500, 1500))).toEqual(['planned']);
    expect(patterns(...bypass(500, 800))).toEqual([]);
    expect(patterns(eventOf({ kind: 'sensor moved', atS: 990 }))).toEqual(['planned']);
    expect(patterns(eventOf({ kind: 'sensor moved', atS: 990, site: 'toe' }))).toEqual([]);
    expect(patterns(eventOf({ kind: 'sensor moved', atS: 500 }))).toEqual([]);
    expect(patterns(eventOf({ kind: 'tourniquet', atS: 900, phase: 'start' }))).toEqual([]);
    expect(patterns(eventOf({ kind: 'tourniquet', atS: 900, phase: 'start', site: 'finger' }))).toEqual(['planned']);
  });
});
