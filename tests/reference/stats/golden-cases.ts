import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

/** One case of `tests/reference/golden-stats`. */
export interface GoldenCase {
  readonly id: string;
  readonly method: string;
  // Data, parameters and results differ from method to method; each test reads the fields of its own.
  readonly data: any;
  readonly params: any;
  readonly expect: any;
  readonly tolerance: { readonly abs: number; readonly rel: number; readonly keys?: Readonly<Record<string, { readonly abs: number; readonly rel: number }>> };
  readonly source: string;
  readonly status: string;
}

/** Returns the cases of a file. */
export function goldenCases(file: string): GoldenCase[] {
  return JSON.parse(readFileSync(new URL(`../golden-stats/${file}`, import.meta.url), 'utf8'));
}

/** Declares one test per case of a method; `compute` returns at least the fields that the case expects. `ignored` fields are information only. */
export function golden(cases: readonly GoldenCase[], method: string, compute: (one: GoldenCase) => unknown, ignored: readonly string[] = []): void {
  describe(method, () => {
    const own = cases.filter((c) => c.method === method);
    it('has cases', () => expect(own.length).toBeGreaterThan(0));
    for (const one of own) {
      it(`${one.id} — ${one.source} (${one.status})`, () => {
        const wanted = Object.fromEntries(Object.entries(one.expect).filter(([key]) => !ignored.includes(key)));
        expect(differences(wanted, compute(one), '', one.tolerance)).toEqual([]);
      });
    }
  });
}

function differences(wanted: unknown, got: any, path: string, tolerance: GoldenCase['tolerance']): string[] {
  const say = (): string[] => [`${path}: expected ${JSON.stringify(wanted)}, got ${String(got)}`];
  if (wanted === 'Infinity' || wanted === '-Infinity') return got === Number(wanted) ? [] : say();
  if (typeof wanted === 'number') {
    const { abs, rel } = Object.entries(tolerance.keys ?? {}).find(([key]) => matches(key, path))?.[1] ?? tolerance;
    return typeof got === 'number' && Math.abs(got - wanted) <= Math.max(abs, rel * Math.abs(wanted)) ? [] : say();
  }
  if (Array.isArray(wanted)) {
    if (got?.length !== wanted.length) return [`${path}: expected ${wanted.length} entries, got ${String(got?.length)}`];
    return wanted.flatMap((w, i) => differences(w, got[i], `${path}[${i}]`, tolerance));
  }
  if (typeof wanted === 'object' && wanted !== null) {
    return Object.entries(wanted).flatMap(([key, w]) => differences(w, got?.[key], path === '' ? key : `${path}.${key}`, tolerance));
  }
  return got === wanted ? [] : say();
}

function matches(key: string, path: string): boolean {
  return key.endsWith('.*') ? path.startsWith(key.slice(0, -1)) : path === key;
}
