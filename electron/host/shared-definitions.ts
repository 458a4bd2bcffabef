import { randomBytes } from 'node:crypto';
import { shareableDefinitions } from '../../core/identity/shareable-definitions.ts';
import { isReservedSetName, PARAMETER_PRESETS } from '../../core/model/parameter-presets.ts';
import type { Mapping } from '../../core/model/mapping.ts';
import type { AnalysisParameters } from '../../core/model/parameters.ts';
import type { SharedChart, SharedDefinitions } from '../../core/model/shared-definitions.ts';
import { parseJsonText } from '../../core/persist/json-text.ts';
import { parseSharedDefinitions, sharedDefinitionsText } from '../../core/persist/shared-definitions-file.ts';
import { FailureError, toFailure } from '../../core/protocol/failure-error.ts';
import type { HostApi } from '../../core/protocol/host-api.ts';
import type { TakenKind } from '../../core/protocol/library-calls.ts';
import type { CaseStore } from './case-store.ts';
import { protocolDigest } from './study-protocols.ts';

export interface SharedDefinitionsParts {
  readonly store: CaseStore;
  readonly charts: Pick<HostApi, 'proposeQualityChart' | 'makeQualityChart'>;
  readonly productVersion: string;
  readonly now: () => Date;
  readonly exclusively: <T>(change: () => Promise<T>) => Promise<T>;
}

/** Set of the library's figures under which it goes out when nobody gave it a name. */
const UNNAMED_SET = 'in force, without a name';

/** Returns the calls that give a library's definitions away and take in those of another. */
export function createSharedDefinitions({ store, charts, productVersion, now, exclusively }: SharedDefinitionsParts): Pick<HostApi, 'shareDefinitions' | 'takeDefinitions'> {
  async function share(): Promise<SharedDefinitions> {
    const sets = await store.parameterSets.list();
    const inForce = await store.settings.readParameters();
    const known = [...sets, ...PARAMETER_PRESETS.map(({ parameters }) => parameters)].find((set) => isSame(set, inForce) || isSame({ ...set, name: inForce.name }, inForce));
    const named = isReservedSetName(inForce.name) ? { ...inForce, name: UNNAMED_SET } : inForce;
    const kept = await store.protocols.list();
    return shareableDefinitions({
      productVersion,
      sharedAt: now().toISOString(),
      inForce: known?.name ?? named.name,
      mappings: await store.mappings.list(),
      parameterSets: known === undefined ? [...sets.filter(({ name }) => name !== named.name), named] : sets,
      protocols: kept.filter(({ protocol, isIntact }) => isIntact && protocolDigest(protocol) === protocol.digest).map(({ protocol }) => protocol),
      charts: (await store.qualityCharts.list()).map(({ name, definition, phases }) => ({ name, definition, rules: phases.at(-1)?.rules ?? [] })),
    });
  }

  async function takeMappings({ mappings }: SharedDefinitions): Promise<TakenKind> {
    const taken = emptyKind();
    for (const mapping of mappings) {
      const namesake = (await store.mappings.list()).find(({ name }) => name === mapping.name.trim());
      if (namesake === undefined) await exclusively(() => store.mappings.save(mapping, false));
      note(taken, mapping.name, namesake === undefined ? null : isSame(namesake, { ...mapping, name: namesake.name }));
    }
    return taken;
  }

  async function takeSets({ parameterSets }: SharedDefinitions): Promise<TakenKind> {
    const taken = emptyKind();
    for (const set of parameterSets) {
      const own = [...(await store.parameterSets.list()), ...PARAMETER_PRESETS.map(({ parameters }) => parameters)].find(({ name }) => name === set.name);
      if (own === undefined && isReservedSetName(set.name)) {
        taken.leftOut.push({ name: set.name, why: 'The name is one of the program’s own.' });
        continue;
      }
      if (own === undefined) await exclusively(() => store.parameterSets.save(set));
      note(taken, set.name, own === undefined ? null : isSame(own, set));
    }
    return taken;
  }

  async function takeProtocols({ protocols }: SharedDefinitions): Promise<TakenKind> {
    const taken = emptyKind();
    for (const protocol of protocols) {
      const name = `${protocol.title}, version ${protocol.version}`;
      if (protocolDigest(protocol) !== protocol.digest) {
        taken.leftOut.push({ name, why: 'It is not as it was fixed: its digest does not fit.' });
        continue;
      }
      const own = (await store.protocols.list()).find((kept) => kept.protocol.protocolId === protocol.protocolId && kept.protocol.version === protocol.version);
      if (own === undefined) await exclusively(() => store.protocols.take([protocol]));
      note(taken, name, own === undefined ? null : own.protocol.digest === protocol.digest);
    }
    return taken;
  }

  /** A chart is made anew from the cases of this library; one that they are too few for is left out, and can be taken in later. */
  async function makeChart({ name, definition, rules }: SharedChart): Promise<void> {
    const jobId = randomBytes(16).toString('hex');
    const { answer } = await charts.proposeQualityChart({ jobId, definition });
    if (answer.baseline === null) throw new FailureError({ code: 'too-few-points', message: 'This library has too few complete points for its limits; take the file in again when there are more cases.' });
    const { firstPoint, lastPoint, excluded } = answer.baseline;
    await charts.makeQualityChart({ jobId, request: { name, definition, phase: { fromPoint: 0, kind: null, firstPoint, lastPoint, excluded, rules, reason: 'Made from shared definitions.' } } });
  }

  async function takeCharts({ charts: shared }: SharedDefinitions): Promise<TakenKind> {
    const taken = emptyKind();
    for (const chart of shared) {
      const namesake = (await store.qualityCharts.list()).find(({ name }) => name === chart.name);
      if (namesake !== undefined) {
        note(taken, chart.name, isSame(namesake.definition, chart.definition));
        continue;
      }
      try {
        await makeChart(chart);
        note(taken, chart.name, null);
      } catch (error) {
        const { code, message } = toFailure(error);
        if (code === 'internal' || code === 'disk-full') throw error;
        taken.leftOut.push({ name: chart.name, why: message });
      }
    }
    return taken;
  }

  return {
    async shareDefinitions() {
      return { text: sharedDefinitionsText(await share()) };
    },
    async takeDefinitions({ text }) {
      const json = parseJsonText(text);
      const read = json.ok ? parseSharedDefinitions(json.value) : json;
      if (!read.ok) throw new FailureError(read.failure);
      return { mappings: await takeMappings(read.value), parameterSets: await takeSets(read.value), protocols: await takeProtocols(read.value), charts: await takeCharts(read.value) };
    },
  };
}

interface FilledKind {
  readonly added: string[];
  readonly alreadyThere: string[];
  readonly leftOut: { name: string; why: string }[];
}

function emptyKind(): FilledKind {
  return { added: [], alreadyThere: [], leftOut: [] };
}

/** Notes what became of one: `isSameThere` null: there was none of its name. */
function note(kind: FilledKind, name: string, isSameThere: boolean | null): void {
  if (isSameThere === null) kind.added.push(name);
  else if (isSameThere) kind.alreadyThere.push(name);
  else kind.leftOut.push({ name, why: 'This library has another one of the same name; rename it and take the file in again.' });
}

/** Whether two say the same, whatever the order of their fields. */
function isSame(a: Mapping | AnalysisParameters | SharedChart['definition'], b: Mapping | AnalysisParameters | SharedChart['definition']): boolean {
  return JSON.stringify(inOrder(a)) === JSON.stringify(inOrder(b));
}

function inOrder(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(inOrder);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).filter(([, inner]) => inner !== undefined).sort(([a], [b]) => (a < b ? -1 : 1)).map(([key, inner]) => [key, inOrder(inner)]));
}
