import { z } from 'zod';
import { DEFAULT_PARAMETERS } from '../../core/model/parameters.ts';
import type { QualityChart } from '../../core/model/quality-chart.ts';
import { qualityChartSchema } from '../../core/model/quality-chart-schema.ts';
import { FailureError } from '../../core/protocol/failure-error.ts';
import type { QualityChartStore } from './case-store.ts';
import type { LibraryDocument } from './library-shelf.ts';

const SCHEMA = 'lacuna-quality-charts/1';
const storedSchema = z.looseObject({ definition: z.looseObject({ parameters: z.looseObject({}) }) });
const fileSchema = z.object({ schema: z.literal(SCHEMA), charts: z.array(storedSchema) });

/**
 * Returns the quality charts that are kept in a document.
 * Missing  no text: no chart. A parameter that an earlier version did not know takes its default: that version counted as it does.
 * Errors   rejects with a FailureError: `charts-damaged`, `chart-changed`, `chart-missing`, or what the disk refused.
 */
export function buildSavedCharts(document: LibraryDocument): QualityChartStore {
  async function list(): Promise<QualityChart[]> {
    try {
      const text = await document.read();
      if (text === null) return [];
      const { charts } = fileSchema.parse(JSON.parse(text));
      return charts.map((chart) => qualityChartSchema.parse({ ...chart, definition: { ...chart.definition, parameters: { ...DEFAULT_PARAMETERS, ...chart.definition.parameters } } }));
    } catch {
      throw new FailureError({
        code: 'charts-damaged',
        message: 'The quality charts of the library cannot be read.',
        remedy: `${document.wayBack}. Do not remove what is there before you have one: it holds the limits and points as they were kept.`,
      });
    }
  }
  async function write(charts: readonly QualityChart[]): Promise<readonly QualityChart[]> {
    await document.replace(`${JSON.stringify({ schema: SCHEMA, charts }, null, 2)}\n`);
    return charts;
  }
  return {
    list,
    async keep(chart, before) {
      const charts = await list();
      if (before === null) return await write([...charts, chart]);
      const stored = charts.find(({ chartId }) => chartId === before.chartId);
      if (stored === undefined) throw chartMissing();
      if (JSON.stringify(stored) !== JSON.stringify(before)) throw new FailureError({ code: 'chart-changed', message: 'The chart was changed in another window meanwhile.', remedy: 'Open it again, then make your change.' });
      return await write(charts.map((one) => (one.chartId === chart.chartId ? chart : one)));
    },
    async remove(chartId) {
      const charts = await list();
      if (!charts.some((chart) => chart.chartId === chartId)) throw chartMissing();
      return await write(charts.filter((chart) => chart.chartId !== chartId));
    },
  };
}

/** The failure that there is no such chart. */
export function chartMissing(): FailureError {
  return new FailureError({ code: 'chart-missing', message: 'The library has no such chart.', remedy: 'Go back to the list of charts.' });
}
