import { defineConfig } from 'vitest/config';

/** One project per kind of test; `npm run unit` and `npx vitest run --project NAME` choose. */
export default defineConfig({
  test: {
    coverage: { provider: 'v8', include: ['core/**/*.ts', 'electron/**/*.ts', 'renderer/**/*.{ts,tsx}'] },
    projects: [
      { test: { name: 'unit', include: ['tests/unit/**/*.test.{ts,tsx}'], testTimeout: 30_000 } },
      { test: { name: 'property', include: ['tests/property/**/*.property.test.ts'], testTimeout: 60_000 } },
      { test: { name: 'reference', include: ['tests/reference/**/*.reference.test.ts'], testTimeout: 120_000 } },
      { test: { name: 'golden', include: ['tests/golden/**/*.golden.test.ts'], testTimeout: 60_000 } },
      { test: { name: 'contracts', include: ['tests/contracts/**/*.contract.test.ts'], testTimeout: 30_000 } },
      {
        test: {
          name: 'integration',
          include: ['tests/integration/**/*.integration.test.ts'],
          globalSetup: ['tests/integration/build-first.ts'],
          testTimeout: 120_000,
          hookTimeout: 120_000,
        },
      },
      { test: { name: 'fuzz', include: ['tests/fuzz/**/*.fuzz.test.ts'], testTimeout: 120_000 } },
      { test: { name: 'repo', include: ['tests/repo/**/*.test.ts'], testTimeout: 30_000 } },
    ],
  },
});
