import type { CaseAnalysis, Dropout, Exposure, Link, SiteAnalysis, StatusName } from './analysis.ts';
import { STATUS_NAMES } from './analysis.ts';
import type { CaseRecord } from './case.ts';
import { SOURCE_KINDS } from './case.ts';
import type { Channel } from './channel.ts';
import type { DrugRecord } from './drug.ts';
import { EVENT_KINDS } from './event.ts';
import type { CaseEvent } from './event.ts';
import type { KnownTerms } from './known-terms.ts';
import { ONSET_PATTERNS } from './onset-evidence.ts';
import { DEFAULT_PARAMETERS } from './parameters.ts';
import { QUANTITIES, QUANTITY_FACTS } from './quantity.ts';
import { SITES, siteKey } from './site.ts';
import type { Site } from './site.ts';

/** A kind of thing that a presentation does not show, and how many of it the case has. */
export interface HiddenKind {
  readonly what: string;
  readonly count: number;
}

/** A case as a meeting may see it, and what was taken out of it. */
export interface PresentedCase {
  readonly record: CaseRecord;
  readonly analysis: CaseAnalysis;
  /** What was taken out, only what there was, in a fixed order. */
  readonly hidden: readonly HiddenKind[];
  /** What a dropout is called in `analysis`, by what it is called in the case. */
  readonly dropoutIds: ReadonlyMap<string, string>;
  /** What a sensor is called in `analysis`, by its key in the case. */
  readonly siteKeys: ReadonlyMap<string, string>;
}

const EXPOSURE_KINDS: readonly Exposure['kind'][] = ['vasopressor bolus', 'infusion change', 'position', 'bypass', 'cross-clamp', 'tourniquet', 'sensor', 'cuff moved', 'warming'];

/** Every word that stands in the code of the core for a kind of thing: none of them comes from a file. */
const WORDS_OF_THE_CORE: readonly string[] = [
  ...QUANTITIES, ...QUANTITIES.flatMap((quantity) => [QUANTITY_FACTS[quantity].name, QUANTITY_FACTS[quantity].unit]), ...SITES, ...SOURCE_KINDS, ...EVENT_KINDS, ...ONSET_PATTERNS, ...STATUS_NAMES, ...EXPOSURE_KINDS,
  'wide', 'long', 'elapsed', 'UTC', 'start', 'end', 'moment', 'bolus', 'infusion start', 'infusion rate', 'infusion stop', 'same site', 'other site', 'not restored', 'certain', 'possible', 'during',
  'anaesthesia start', 'first row', 'anaesthesia end', 'last row', 'hypoxaemia', 'severe hypoxaemia', 'return', 'loss', 'end of monitoring', 'presented',
];

/** A dose or a rate in UCUM spelling, as `core/terms/dose-unit.ts` writes them. */
const DOSE_UNIT = /^(ng|ug|mg|g|m?\[iU\]|mL|L|mmol|meq|\{ampoule\}|\{tablet\})(\/(kg|m2|s|min|h|d)){0,3}$/;
const ATC_CODE = /^[A-Z]\d\d[A-Z]{2}\d\d$/;
/** Names of sensors that tell them apart and nobody else. */
const PLAIN_SENSOR = /^(\d{1,2}|left|right)$/;

/**
 * Returns a case as a meeting may see it: what is measured and when, counted from the first row; drugs, positions and events by the words of
 * the dictionary; nothing that a file or a person has written freely.
 * Shape    new objects; the arrays of times and values are those of the case. Everything is put together anew from what is allowed, and a
 *          last pass empties every text that is neither a word of the core nor one of `terms`: a field that is added to a case one day is hidden
 *          until it is let through here.
 * Units    times stay CaseMs of the case: counted from its first row, on an elapsed clock that begins there.
 * Missing  drugs, events and channels that the dictionary does not know are left out, and counted in `hidden`. Findings, columns of the case
 *          list, digests, line numbers, pairs of sites and the name of the definition are left out.
 * Errors   none, whatever the texts hold.
 * Source   handbook 9.2 (no patient, staff or room; no exact date) and 9.4 (free text, file names, the case identifier).
 */
export function presentedCase(record: CaseRecord, analysis: CaseAnalysis, label: string, terms: KnownTerms): PresentedCase {
  const drugNames = new Set(terms.drugs.map(({ inn }) => inn));
  const eventTerms = new Set(terms.events.map(({ term }) => term));
  const siteKeys = sensorNames(record, analysis);
  const keyOf = (key: string): string => siteKeys.get(key) ?? 'other';

  const events = record.events.flatMap((event, i) => presentedEvent(event, `event ${i + 1}`, eventTerms));
  const eventIds = new Map(record.events.map(({ eventId }, i) => [eventId, `event ${i + 1}`]));
  const drugs = record.drugs.flatMap((drug, i) => presentedDrug(drug, `drug ${i + 1}`, drugNames));
  const channels = record.channels.flatMap((channel, i) => presentedChannel(channel, `channel ${i + 1}`, keyOf));
  const channelIds = new Map(record.channels.map(({ channelId }, i) => [channelId, `channel ${i + 1}`]));
  const exposureIds = new Map(analysis.exposures.map(({ exposureId }, i) => [exposureId, `exposure ${i + 1}`]));
  const dropoutIds = new Map<string, string>();
  for (const site of analysis.sites) for (const { dropoutId } of [...site.dropouts, ...site.dropoutsDoubtfulLost]) if (!dropoutIds.has(dropoutId)) dropoutIds.set(dropoutId, `dropout ${dropoutIds.size + 1}`);

  const linked = (links: readonly Link[]): Link[] => links.flatMap((link) => {
    const exposureId = exposureIds.get(link.exposureId);
    return exposureId === undefined ? [] : [{ ...link, exposureId }];
  });
  const presentedDropout = (dropout: Dropout): Dropout => ({
    ...dropout,
    dropoutId: dropoutIds.get(dropout.dropoutId) ?? '',
    siteKey: keyOf(dropout.siteKey),
    restoredSiteKey: dropout.restoredSiteKey === null ? null : keyOf(dropout.restoredSiteKey),
    lostSamples: Object.fromEntries(STATUS_NAMES.flatMap((name): [StatusName, number][] => (dropout.lostSamples[name] === undefined ? [] : [[name, dropout.lostSamples[name]]]))),
    patterns: ONSET_PATTERNS.filter((pattern) => dropout.patterns.includes(pattern)),
    evidence: { ...dropout.evidence, plannedBy: dropout.evidence.plannedBy.flatMap((id) => eventIds.get(id) ?? []) },
    links: linked(dropout.links),
    responses: linked(dropout.responses),
  });
  const presentedSite = (site: SiteAnalysis): SiteAnalysis => ({
    ...site,
    siteKey: keyOf(site.siteKey), site: knownSite(site.site), sensor: keyOf(site.siteKey).slice(knownSite(site.site).length).trim(),
    channelId: channelIds.get(site.channelId) ?? '', notMonitoredReason: null,
    dropouts: site.dropouts.map(presentedDropout), dropoutsDoubtfulLost: site.dropoutsDoubtfulLost.map(presentedDropout),
  });
  const exposures = analysis.exposures.flatMap((exposure, i) => presentedExposure(exposure, `exposure ${i + 1}`, drugNames, eventTerms));

  const presentedRecord: CaseRecord = {
    caseId: label,
    origin: { epochMs: null, clock: 'elapsed', originOffsetMs: 0, zone: 'UTC', zoneStated: false },
    sources: record.sources.map(({ kind }) => ({ name: '', sha256: '', byteLength: 0, kind, clockOffsetMs: 0 })),
    channels, events, drugs, findings: [], attributes: {},
    ...(record.recordedUntilMs === undefined ? {} : { recordedUntilMs: record.recordedUntilMs }),
  };
  const { bounds } = analysis;
  const presentedAnalysis: CaseAnalysis = {
    ...analysis,
    caseId: label,
    // Words may stand among its keys: those of the program's own set do not.
    parameters: { ...analysis.parameters, name: 'presented', lookBackBolusS: DEFAULT_PARAMETERS.lookBackBolusS, lookBackPositionS: DEFAULT_PARAMETERS.lookBackPositionS },
    productVersion: '', inputDigests: [], findings: [], pairs: [],
    bounds: { startMs: bounds.startMs, endMs: bounds.endMs, startFrom: bounds.startFrom, endFrom: bounds.endFrom },
    sites: analysis.sites.map(presentedSite),
    blind: analysis.blind.map((blind) => ({ ...blind, restoredSiteKey: blind.restoredSiteKey === null ? null : keyOf(blind.restoredSiteKey) })),
    blindDoubtfulLost: analysis.blindDoubtfulLost.map((blind) => ({ ...blind, restoredSiteKey: blind.restoredSiteKey === null ? null : keyOf(blind.restoredSiteKey) })),
    exposures,
  };

  const allowed = new Set([...WORDS_OF_THE_CORE, ...drugNames, ...eventTerms, ...[...eventTerms].map(ended), ...siteKeys.values(), ...dropoutIds.values(), ...eventIds.values(), ...channelIds.values(), ...exposureIds.values(), ...drugs.map(({ drugId }) => drugId), label, ...[...siteKeys.values()].map((key) => key.replace(/^\D+/, '')), 'left', 'right']);
  const isAllowed = (text: string): boolean => allowed.has(text) || DOSE_UNIT.test(text) || ATC_CODE.test(text);
  return {
    record: onlyAllowedText(presentedRecord, isAllowed),
    analysis: onlyAllowedText(presentedAnalysis, isAllowed),
    hidden: hiddenKinds(record, { events: record.events.length - events.length, drugs: record.drugs.length - drugs.length, channels: record.channels.length - channels.length }),
    dropoutIds,
    siteKeys,
  };
}

const ended = (term: string): string => `${term} ended`;

function knownSite(site: Site): Site {
  return SITES.includes(site) ? site : 'other';
}

/** Returns the name of each sensor: its site, and what tells it from others there; a number where the file's own name says more. */
function sensorNames(record: CaseRecord, analysis: CaseAnalysis): Map<string, string> {
  const sensors = [
    ...analysis.sites.map(({ siteKey: key, site, sensor }) => ({ key, site, sensor })),
    ...record.channels.flatMap(({ site, sensor }) => (site === null ? [] : [{ key: siteKey({ site, sensor }), site, sensor }])),
  ];
  const names = new Map<string, string>();
  const taken = new Set<string>();
  for (const { key, site, sensor } of sensors) {
    if (names.has(key)) continue;
    const place = knownSite(site);
    let name = sensor === '' || PLAIN_SENSOR.test(sensor) ? siteKey({ site: place, sensor }) : siteKey({ site: place, sensor: '1' });
    for (let n = 2; taken.has(name); n++) name = siteKey({ site: place, sensor: String(n) });
    taken.add(name);
    names.set(key, name);
  }
  return names;
}

function presentedChannel(channel: Channel, channelId: string, keyOf: (key: string) => string): Channel[] {
  const { quantity } = channel;
  // What no rule recognised bears only the name that the file gives it.
  if (quantity === 'other' || !QUANTITIES.includes(quantity)) return [];
  const { name, unit } = QUANTITY_FACTS[quantity];
  const site = channel.site === null ? null : knownSite(channel.site);
  const key = channel.site === null || site === null ? '' : keyOf(siteKey({ site: channel.site, sensor: channel.sensor }));
  return [{
    channelId, quantity, label: name, unit, site, sensor: site === null ? '' : key.slice(site.length).trim(), sourceIndex: channel.sourceIndex, layout: channel.layout,
    ...(channel.deviceHoldS === undefined ? {} : { deviceHoldS: channel.deviceHoldS }),
    tMs: channel.tMs, value: channel.value, mark: channel.mark, line: new Uint32Array(channel.tMs.length),
  }];
}

function presentedEvent(event: CaseEvent, eventId: string, eventTerms: ReadonlySet<string>): CaseEvent[] {
  const { kind, phase, atMs, endMs, manual } = event;
  // A note is nothing but its text.
  if (!EVENT_KINDS.includes(kind) || kind === 'note') return [];
  if (event.term !== '' && !eventTerms.has(event.term)) return [];
  const site = event.site === null ? null : (SITES.find((one) => one === event.site) ?? null);
  return [{ eventId, kind, term: event.term, phase, text: event.term === '' ? kind : event.term, atMs, endMs, manual, site, source: { sourceIndex: 0, line: 0 } }];
}

function presentedDrug(drug: DrugRecord, drugId: string, drugNames: ReadonlySet<string>): DrugRecord[] {
  const { inn, isVasopressor, form, amount, unit, atMs, endMs, manual } = drug;
  if (inn === null || !drugNames.has(inn)) return [];
  return [{ drugId, inn, atc: drug.atc, isVasopressor, route: null, form, amount, unit, atMs, endMs, manual, flags: [], text: inn, source: { sourceIndex: 0, line: 0 } }];
}

function presentedExposure(exposure: Exposure, exposureId: string, drugNames: ReadonlySet<string>, eventTerms: ReadonlySet<string>): Exposure[] {
  const { kind, atc, dose, unit, atMs, endMs, windowMs, manual, dropoutsAfter } = exposure;
  if (!EXPOSURE_KINDS.includes(kind)) return [];
  const isKnown = drugNames.has(exposure.label) || eventTerms.has(exposure.label) || [...eventTerms].some((term) => exposure.label === ended(term));
  return [{ exposureId, kind, label: isKnown ? exposure.label : kind, atc, dose, unit, atMs, endMs, windowMs, manual, flags: [], sourceText: '', dropoutsAfter }];
}

/** Returns a copy in which every text that is not allowed is empty. Arrays of numbers are handed on as they are. */
function onlyAllowedText<T>(value: T, isAllowed: (text: string) => boolean): T {
  const copy = (part: unknown): unknown => {
    if (typeof part === 'string') return isAllowed(part) ? part : '';
    if (typeof part !== 'object' || part === null || ArrayBuffer.isView(part)) return part;
    if (Array.isArray(part)) return part.map(copy);
    return Object.fromEntries(Object.entries(part).map(([key, inner]) => [key, copy(inner)]));
  };
  // The shape is kept: only texts change.
  return copy(value) as T;
}

function hiddenKinds(record: CaseRecord, left: { readonly events: number; readonly drugs: number; readonly channels: number }): HiddenKind[] {
  const kinds: HiddenKind[] = [
    { what: 'the name of the case', count: 1 },
    { what: record.origin.clock === 'absolute' ? 'the date and the clock: times count from the first row' : 'the clock: times count from the first row', count: 1 },
    { what: 'names of files', count: record.sources.length },
    { what: 'columns of the case list', count: Object.keys(record.attributes).length },
    { what: 'notes, and events that the dictionary does not know', count: left.events },
    { what: 'drugs that the dictionary does not know', count: left.drugs },
    { what: 'channels that no rule recognised', count: left.channels },
    { what: 'the wording of events and doses in the record', count: record.events.length + record.drugs.length - left.events - left.drugs },
    { what: 'findings of the import', count: record.findings.length },
  ];
  return kinds.filter(({ count }) => count > 0);
}
