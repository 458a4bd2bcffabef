import { expect, it } from 'vitest';
import { isReservedSetName, PARAMETER_PRESETS } from '../../../../core/model/parameter-presets.ts';
import { analysisParametersSchema } from '../../../../core/model/parameters-schema.ts';
import { DEFAULT_PARAMETERS, FALL_RATE_PRESETS } from '../../../../core/model/parameters.ts';
import checkValues from '../../../fixtures/check-values.json' with { type: 'json' };

it('every preset is a valid set with a name of its own and a source', () => {
  for (const { parameters, source, about } of PARAMETER_PRESETS) {
    expect(analysisParametersSchema.safeParse(parameters).success, parameters.name).toBe(true);
    expect([source.length > 5, about.length > 5]).toEqual([true, true]);
    expect(isReservedSetName(parameters.name)).toBe(true);
  }
  expect(new Set(PARAMETER_PRESETS.map(({ parameters }) => parameters.name)).size).toBe(PARAMETER_PRESETS.length);
  expect([isReservedSetName('own'), isReservedSetName('theatre 4')]).toEqual([true, false]);
});

// Source: handbook 1.1, check value fail-preset-thresholds (10, 180, 600 s continuous); 30 s is the program's default.
it('the durations of the presets are published or customary ones', () => {
  const published = Object.values(checkValues.find(({ id }) => id === 'fail-preset-thresholds')?.expect ?? {});
  for (const { parameters } of PARAMETER_PRESETS) expect([DEFAULT_PARAMETERS.minDurationS, ...published]).toContain(parameters.minDurationS);
  const rates = FALL_RATE_PRESETS.map(({ pctPerS }) => pctPerS);
  for (const { parameters } of PARAMETER_PRESETS) expect(rates).toContain(parameters.fallPctPerS);
});
