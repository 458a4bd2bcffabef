import { dirname } from 'node:path';
import { expect, test } from 'vitest';
import { filesBelow, importsOf, readText, repositoryFiles } from './source-files.ts';

/*
 * Who may import whom. A folder stands for itself and what lies in it, unless a deeper one has an entry of its own.
 * A path with a file name allows that file only; `type:` allows types, which are gone after compilation.
 * Importing inside one's own folder is always allowed.
 */
const LAYERS: Readonly<Record<string, readonly string[]>> = {
  'core/base': [],
  'core/stats': ['core/base'],
  'core/time': ['core/base'],
  'core/model': ['core/base', 'core/time'],
  'core/terms': ['core/base', 'core/time', 'core/model'],
  'core/identity': ['core/base', 'core/time', 'core/model', 'core/terms'],
  'core/readers': ['core/base', 'core/time', 'core/model', 'core/terms', 'core/identity'],
  'core/signal': ['core/base', 'core/model'],
  'core/quality': ['core/base', 'core/model', 'core/signal'],
  'core/episodes': ['core/base', 'core/model', 'core/signal', 'core/quality'],
  'core/linkage': ['core/base', 'core/model', 'core/terms', 'core/signal', 'core/quality', 'core/episodes'],
  'core/metrics': ['core/base', 'core/stats', 'core/model', 'core/signal', 'core/quality', 'core/episodes'],
  'core/sites': ['core/base', 'core/stats', 'core/model', 'core/signal', 'core/quality', 'core/episodes'],
  'core/clocks': ['core/base', 'core/stats', 'core/model'],
  'core/review': ['core/base', 'core/stats', 'core/time', 'core/model', 'core/linkage'],
  'core/actions': ['core/base', 'core/time', 'core/model', 'core/identity'],
  'core/robustness': ['core/base', 'core/model', 'core/quality', 'core/episodes', 'core/linkage', 'core/metrics'],
  'core/cohort': [
    'core/base', 'core/stats', 'core/time', 'core/model', 'core/identity', 'core/signal', 'core/quality', 'core/episodes', 'core/linkage', 'core/metrics', 'core/sites', 'core/review', 'core/robustness', 'core/actions',
  ],
  'core/compare': ['core/base', 'core/model'],
  'core/report': ['core/base', 'core/time', 'core/model', 'core/identity', 'core/signal', 'core/episodes', 'core/metrics', 'core/sites', 'core/review', 'core/robustness', 'core/cohort', 'core/actions'],
  'core/persist': ['core/base', 'core/model'],
  'core/pipeline': [
    'core/base', 'core/time', 'core/model', 'core/terms', 'core/identity', 'core/readers', 'core/signal', 'core/quality', 'core/episodes',
    'core/linkage', 'core/metrics', 'core/sites', 'core/clocks', 'core/review', 'core/cohort', 'core/report', 'core/persist',
  ],
  'core/protocol': ['core/base', 'core/time', 'core/model'],
  'core/worker': [
    'core/base', 'core/model', 'core/terms', 'core/identity', 'core/compare', 'core/sites', 'core/review', 'core/robustness', 'core/cohort', 'core/report', 'core/persist', 'core/pipeline', 'core/protocol', 'type:core/readers',
  ],

  'renderer': [
    'renderer/app', 'renderer/help', 'renderer/host', 'renderer/state', 'renderer/styles', 'renderer/timeline/case-extent.ts', 'core/persist/case-bytes.ts',
  ],
  'renderer/app': ['renderer/panels', 'renderer/help', 'renderer/state', 'renderer/host', 'renderer/widgets', 'renderer/format', 'renderer/timeline', 'core/base', 'core/time', 'core/model', 'core/protocol'],
  'renderer/host': ['core/base', 'core/model', 'core/protocol', 'core/persist/case-bytes.ts'],
  'renderer/state': ['renderer/host', 'core/base', 'core/time', 'core/model', 'core/protocol', 'type:core/persist'],
  'renderer/timeline': ['renderer/help', 'renderer/state', 'renderer/widgets', 'renderer/format', 'core/base', 'core/time', 'core/model', 'core/signal/envelope.ts'],
  'renderer/charts': ['renderer/help', 'renderer/widgets', 'core/report/csv.ts'],
  'renderer/panels': [
    'renderer/state', 'renderer/host', 'renderer/help', 'renderer/timeline', 'renderer/charts', 'renderer/widgets', 'renderer/format', 'core/base', 'core/time', 'core/model', 'core/protocol',
    // What a hand drags or sets is worked out where the hand is; everything else the page shows comes from the host.
    'core/robustness/apply-definition.ts', 'core/review/corrected-bounds.ts',
    // One wording of what became of an action, here and in reports.
    'core/actions/action-words.ts', 'core/actions/follow-up.ts',
  ],
  // The pages that say how figures are worked out, and the register of figures: knows of no case and no host.
  'renderer/help': ['renderer/state/store.ts', 'renderer/widgets'],
  'renderer/drawn-text': ['core/base/unbroken.ts'],
  'renderer/widgets': [],
  'renderer/format': ['core/base', 'core/time', 'core/model'],
  'renderer/styles': [],

  // No stage of the core runs on the host's own thread: it may know their types, the workers run them. Reviews are no stage: small, and kept by the host.
  'electron/host': ['core/review', 'core/actions', 'core/base', 'core/time', 'core/model', 'core/persist', 'core/protocol', 'core/worker', 'core/identity/shown-path.ts', 'core/identity/shown-mapping.ts', 'core/identity/shareable-definitions.ts', 'core/identity/shown-note.ts', 'type:core/readers', 'type:core/pipeline'],
  'electron/headless': [
    'electron/host', 'electron/store', 'core/base', 'core/time', 'core/model', 'core/persist', 'core/protocol', 'core/review', 'core/actions/action-words.ts', 'core/report', 'core/identity/shown-path.ts', 'core/identity/shown-mapping.ts', 'core/worker', 'type:core/readers', 'type:core/pipeline', 'package.json',
  ],
  // A library as one encrypted file; the host knows only the interfaces that it fulfils.
  'electron/store': ['electron/host', 'core/base', 'core/model', 'core/review', 'core/persist', 'core/protocol'],
  'electron/desktop': ['electron/host', 'electron/store', 'core/protocol'],
  'electron/loopback': ['electron/host', 'electron/store', 'core/protocol', 'electron/launch/find-browser.mjs'],
  'electron/preload': ['core/protocol/port-handshake.ts'],
};

/** Every package, with the folders that may import it. A package that is not here may be imported nowhere. */
const PACKAGES: Readonly<Record<string, readonly string[]>> = {
  '@observablehq/plot': ['renderer/charts'],
  '@resvg/resvg-wasm': ['core/worker'],
  'comlink': ['core/worker', 'electron/host'],
  'commander': ['electron/headless'],
  'electron': ['electron/desktop', 'electron/preload'],
  'fflate': ['core/readers/archive', 'core/worker/deck-pptx.ts', 'core/worker/bundle-zip.ts', 'electron/headless'],
  'fontkit': ['core/worker'],
  'hash-wasm': ['electron/store'],
  'hyparquet-writer': ['core/report'],
  'libsql': ['electron/store'],
  'papaparse': ['core/readers'],
  'pptxgenjs': ['core/worker'],
  'pdfkit': ['core/worker'],
  'react': ['renderer'],
  'react-dom': ['renderer/main.tsx', 'renderer/panels/meeting/presenting/presenter-window.tsx'],
  'saxes': ['core/readers/workbook'],
  'temporal-polyfill': ['core/time'],
  // Made by the page's build from the documentation.
  'virtual:help-pages': ['renderer/main.tsx'],
  'uplot': ['renderer/timeline'],
  'zod': ['core/model', 'core/persist', 'core/protocol', 'electron/host', 'electron/store', 'electron/headless', 'renderer/host', 'renderer/state'],
};

/** Where builtins of Node may be used at all. */
const NODE_FOLDERS = ['core/worker', 'electron/host', 'electron/store', 'electron/headless', 'electron/desktop', 'electron/loopback'];

const SOURCES = ['core', 'electron', 'renderer'].flatMap((folder) => filesBelow(folder, /\.tsx?$/)).filter((file) => !file.startsWith('electron/launch/'));
const EDGES = SOURCES.flatMap(importsOf);

function layerOf(path: string): string | undefined {
  return Object.keys(LAYERS)
    .filter((folder) => path.startsWith(`${folder}/`))
    .sort((a, b) => b.length - a.length)[0];
}

function isAllowed(edge: (typeof EDGES)[number]): boolean {
  const from = layerOf(edge.file) ?? '';
  const to = layerOf(edge.target);
  if (from === to) return true;
  return (LAYERS[from] ?? []).some((allowed) => {
    const isForTypes = allowed.startsWith('type:');
    const path = isForTypes ? allowed.slice('type:'.length) : allowed;
    return (edge.isTypeOnly || !isForTypes) && (edge.target === path || to === path);
  });
}

const isWithin = (path: string, folder: string): boolean => path === folder || path.startsWith(`${folder}/`);
const say = (edges: typeof EDGES): string[] => edges.map((edge) => `${edge.file}:${edge.line} imports ${edge.target}`);

test('every source file lies in a folder that the table of layers names', () => {
  expect(SOURCES.length).toBeGreaterThan(50);
  expect(SOURCES.filter((file) => layerOf(file) === undefined)).toEqual([]);
});

test('every import between folders is in the table of layers', () => {
  expect(say(EDGES.filter((edge) => !edge.isPackage && !isAllowed(edge)))).toEqual([]);
});

test('the table of layers refuses what it should', () => {
  const edge = (file: string, target: string, isTypeOnly = false) => ({ file, target, isTypeOnly, line: 1, isPackage: false });
  const refused = [
    edge('core/base/a.ts', 'core/model/site.ts'),
    edge('core/signal/a.ts', 'core/episodes/b.ts'),
    edge('core/persist/a.ts', 'core/pipeline/b.ts', true),
    edge('renderer/timeline/a.tsx', 'core/signal/runs.ts'),
    edge('renderer/panels/x/a.tsx', 'core/pipeline/analyze-case.ts'),
    edge('renderer/app/a.tsx', 'electron/host/host.ts'),
    edge('electron/host/a.ts', 'core/pipeline/analyze-case.ts'),
    edge('electron/host/a.ts', 'electron/loopback/server.ts'),
    edge('electron/preload/a.ts', 'electron/host/host.ts'),
    edge('core/time/a.ts', 'tests/builders/stored-case.ts'),
  ];
  expect(refused.filter(isAllowed)).toEqual([]);
  expect(isAllowed(edge('electron/host/a.ts', 'core/pipeline/analyze-case.ts', true))).toBe(true);
});

test('every package is imported only where the table of packages allows it', () => {
  const foreign = EDGES.filter((edge) => {
    if (!edge.isPackage) return false;
    const folders = edge.target.startsWith('node:') ? NODE_FOLDERS : (PACKAGES[edge.target] ?? []);
    return !folders.some((folder) => isWithin(edge.file, folder));
  });
  expect(say(foreign)).toEqual([]);
});

test('only the worker uses threads inside core, and only one file draws with uplot', () => {
  expect(say(EDGES.filter((edge) => edge.file.startsWith('core/') && edge.target === 'node:worker_threads' && !edge.file.startsWith('core/worker/')))).toEqual([]);
  const drawing = new Set(EDGES.filter((edge) => edge.target === 'uplot' && !edge.isTypeOnly).map((edge) => edge.file));
  expect([...drawing].filter((file) => file !== 'renderer/timeline/uplot-host.tsx')).toEqual([]);
});

test('the layers of core are free of cycles: each imports only from those above it', () => {
  const order = Object.keys(LAYERS).filter((folder) => folder.startsWith('core/'));
  const backwards = order.flatMap((folder, at) => (LAYERS[folder] ?? []).map((target) => target.replace('type:', '')).filter((target) => order.indexOf(target) >= at).map((target) => `${folder} → ${target}`));
  // protocol stands after pipeline in the list and imports less; worker comes last.
  expect(backwards).toEqual([]);
});

test('no source imports from tests or sample-cases, and every dependency that is installed for use is used', () => {
  expect(say(EDGES.filter((edge) => /^(tests|sample-cases)\//.test(edge.target)))).toEqual([]);
  const { dependencies } = JSON.parse(readText('package.json')) as { dependencies: Record<string, string> };
  expect(Object.keys(dependencies).filter((name) => !EDGES.some((edge) => edge.target === name))).toEqual([]);
});

test('there is no barrel, no drawer and no vague name', () => {
  const files = repositoryFiles().filter((file) => /^(core|electron|renderer|tests|sample-cases)\//.test(file));
  expect(files.filter((file) => /(^|\/)index\.tsx?$/.test(file))).toEqual([]);
  expect(files.filter((file) => /(^|\/)(utils?|helpers?|common|misc|managers?)(\.|\/)/.test(file))).toEqual([]);
  const badNames = SOURCES.filter((file) => !/^[a-z0-9.-]+$/.test(file.slice(dirname(file).length + 1)));
  expect(badNames).toEqual([]);
});

test('bare notes for later do not stand in the sources', () => {
  expect(SOURCES.filter((file) => /\b(TODO|FIXME|XXX)\b/.test(readText(file)))).toEqual([]);
});
