import type { ColumnReading, ReadingRules } from './mapping.ts';

/**
 * Returns rules with others laid over them: what `over` says holds, what it leaves out stays as `base` has it. Columns and phrases
 * are laid over one by one. Where `over` says what a column is (its role or quantity), what `base` said of that column goes.
 */
export function overlayRules(base: ReadingRules, over: ReadingRules): ReadingRules {
  const columns = { ...base.columns };
  for (const [heading, reading] of Object.entries(over.columns ?? {})) columns[heading] = overlayColumn(columns[heading], reading);
  const phrases = { ...base.phrases, ...over.phrases };
  return {
    ...base,
    ...over,
    ...(Object.keys(columns).length === 0 ? {} : { columns }),
    ...(Object.keys(phrases).length === 0 ? {} : { phrases }),
  };
}

function overlayColumn(base: ColumnReading | undefined, over: ColumnReading): ColumnReading {
  return over.role !== undefined || over.quantity !== undefined ? over : { ...base, ...over };
}
