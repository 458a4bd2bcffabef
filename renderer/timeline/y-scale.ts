/** How a lane's values become heights. Larger values stand higher. */
export interface YScale {
  readonly kind: 'linear' | 'log';
  readonly min: number;
  readonly max: number;
}

/** Returns how many px below the lane's top `value` stands. Not clipped. A log scale has no place for 0 or less: NaN. */
export function yToPx(scale: YScale, value: number, heightPx: number): number {
  if (scale.kind === 'log') {
    if (value <= 0) return NaN;
    const low = Math.log10(scale.min);
    return heightPx * (1 - (Math.log10(value) - low) / (Math.log10(scale.max) - low));
  }
  return heightPx * (1 - (value - scale.min) / (scale.max - scale.min));
}

const STEPS = [1, 2, 5, 10, 20, 25, 50, 100] as const;
const LOG_TICKS = [0.02, 0.05, 0.1, 0.3, 0.5, 1, 3, 5, 10, 20, 40] as const;

/** Returns the values to mark on the axis, ascending, at least `minGapPx` apart. */
export function yTicks(scale: YScale, heightPx: number, minGapPx: number): number[] {
  if (scale.kind === 'log') {
    const inside = LOG_TICKS.filter((tick) => tick >= scale.min && tick <= scale.max);
    const kept: number[] = [];
    // Whole powers of ten first: they must survive when there is little room.
    for (const tick of [...inside].sort((a, b) => logRank(a) - logRank(b) || a - b)) {
      const y = yToPx(scale, tick, heightPx);
      if (kept.every((other) => Math.abs(yToPx(scale, other, heightPx) - y) >= minGapPx)) kept.push(tick);
    }
    return kept.sort((a, b) => a - b);
  }
  const pxPerUnit = heightPx / (scale.max - scale.min);
  const step = STEPS.find((candidate) => candidate * pxPerUnit >= minGapPx) ?? 200;
  const ticks: number[] = [];
  for (let tick = Math.ceil(scale.min / step) * step; tick <= scale.max; tick += step) ticks.push(tick);
  return ticks;
}

function logRank(tick: number): number {
  const power = Math.log10(tick);
  if (Math.abs(power - Math.round(power)) < 1e-9) return 0;
  return Math.abs(tick / 10 ** Math.floor(power) - 3) < 1e-9 ? 1 : 2;
}

/** Returns [min, max] widened outward to multiples of `step`. */
export function snapOut(min: number, max: number, step: number): readonly [number, number] {
  return [Math.floor(min / step) * step, Math.ceil(max / step) * step];
}
