import { z } from 'zod';
import type { AnalysisParameters } from './parameters.ts';

const seconds = z.number().min(0).max(86_400);
const share = z.number().min(0).max(1000);
const limits = z.tuple([z.number(), z.number()]).refine(([low, high]) => low < high, { message: 'the lower limit must be below the upper one' });

/** A set of analysis parameters as it stands in a file or a message: every field, nothing else, sensible limits. */
export const analysisParametersSchema: z.ZodType<AnalysisParameters> = z.strictObject({
  name: z.string().min(1).max(200),
  minDurationS: seconds,
  bridgeS: seconds,
  heldS: seconds,
  heldMinSamples: z.number().int().min(2).max(100_000),
  heldMaxIntervalS: seconds,
  deviceHoldS: seconds,
  weakPerfusionIndex: z.number().min(0).max(40),
  disputedPerMin: share,
  disputedPct: share,
  disputedS: seconds,
  spo2Plausible: limits,
  perfusionPlausible: limits,
  pulsePlausible: limits,
  afterLastGoodS: seconds,
  lookBackBolusS: z.record(z.string(), seconds),
  lookBackInfusionS: seconds,
  infusionRisePct: share,
  lookBackPositionS: z.record(z.string(), seconds),
  handTimeS: seconds,
  keepRecordGaps: z.boolean(),
  returnDropPoints: z.number().min(0).max(100),
  returnBelowPct: z.number().min(0).max(100),
  pressureBeforeS: seconds,
  fadeWindowS: seconds,
  fadeFallPct: z.number().min(1).max(100),
  onsetLastS: seconds,
  steadyWindowS: seconds,
  abruptKeepPct: z.number().min(1).max(100),
  desirablePerfusionIndex: z.number().min(0).max(40),
  cuffMarginS: seconds,
  cuffMaxS: seconds,
  cuffMinDropouts: z.number().int().min(1).max(1000),
  unsteadyWindowS: seconds,
  unsteadyMinRuns: z.number().int().min(1).max(1000),
  coldBelowC: z.number().min(10).max(45),
  hypoxaemiaFloorPct: z.number().min(0).max(100),
  desaturationFallPoints: z.number().min(0.1).max(100),
  desaturationBaselineS: seconds,
  desaturationMinS: seconds,
  desaturationReturnPoints: z.number().min(0).max(100),
  fallPctPerS: z.number().min(0.01).max(100),
  risePctPerS: z.number().min(0.01).max(100),
});
