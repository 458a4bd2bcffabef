import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';

/*
 * The pure kinds share one module graph per process: loading the program anew for each of two hundred files took twice as
 * long as the tests. What they test keeps nothing between calls. Integration tests start processes or replace modules and stay apart.
 */
const SHARED = { isolate: false } as const;

/** One project per kind of test; `npm run unit` and `npx vitest run --project NAME` choose. */
export default defineConfig({
  test: {
    // Vitest leaves one processor free, which on a machine of two is half of it; nothing here asserts a time.
    maxWorkers: availableParallelism(),
    coverage: { provider: 'v8', include: ['core/**/*.ts', 'electron/**/*.ts', 'renderer/**/*.{ts,tsx}'] },
    projects: [
      { test: { ...SHARED, name: 'unit', include: ['tests/unit/**/*.test.{ts,tsx}'], testTimeout: 30_000, hookTimeout: 30_000 } },
      { test: { ...SHARED, name: 'property', include: ['tests/property/**/*.property.test.ts'], testTimeout: 60_000 } },
      { test: { ...SHARED, name: 'reference', include: ['tests/reference/**/*.reference.test.ts'], testTimeout: 120_000 } },
      { test: { ...SHARED, name: 'golden', include: ['tests/golden/**/*.golden.test.ts'], testTimeout: 60_000 } },
      { test: { ...SHARED, name: 'contracts', include: ['tests/contracts/**/*.contract.test.ts'], testTimeout: 30_000 } },
      {
        test: {
          name: 'integration',
          include: ['tests/integration/**/*.integration.test.ts'],
          globalSetup: ['tests/integration/build-first.ts'],
          testTimeout: 120_000,
          hookTimeout: 120_000,
        },
      },
      { test: { ...SHARED, name: 'fuzz', include: ['tests/fuzz/**/*.fuzz.test.ts'], testTimeout: 120_000 } },
      { test: { name: 'gallery', include: ['tests/gallery/**/*.gallery.test.ts'], testTimeout: 60_000 } },
      { test: { ...SHARED, name: 'repo', include: ['tests/repo/**/*.test.ts'], testTimeout: 30_000 } },
    ],
  },
});
