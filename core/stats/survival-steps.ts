/** A time with whether the event came then, or watching ended before it. */
export interface CensoredTime {
  readonly time: number;
  readonly isEvent: boolean;
}

/** The product-limit curve without its errors; one entry per time with an event, ascending. */
export interface SurvivalSteps {
  readonly times: readonly number[];
  readonly atRisk: readonly number[];
  readonly nEvent: readonly number[];
  /** Value from this time on. */
  readonly survival: readonly number[];
  /** Sum of d/(n(n − d)) so far; Infinity where the curve is at 0. */
  readonly greenwood: readonly number[];
}

/** Returns the positions of `times` in the order in which they leave: by time, at equal times events before censorings. */
export function exitOrder(times: readonly CensoredTime[]): Uint32Array {
  const at = Float64Array.from(times, ({ time }) => time);
  const rank = Uint8Array.from(times, ({ isEvent }) => (isEvent ? 0 : 1));
  return Uint32Array.from(times, (_, i) => i).sort((a, b) => (at[a] ?? NaN) - (at[b] ?? NaN) || (rank[a] ?? NaN) - (rank[b] ?? NaN) || a - b);
}

/**
 * Returns the steps of the product-limit curve.
 * Shape   `order` is the order in which the times leave (`exitOrder`). One that is censored at the time of an event is at risk of it.
 * Source  Kaplan & Meier, JASA 1958;53:457.
 */
export function survivalSteps(times: readonly CensoredTime[], order: Uint32Array): SurvivalSteps {
  const at: number[] = [];
  const atRisks: number[] = [];
  const nEvent: number[] = [];
  const survivals: number[] = [];
  const greenwood: number[] = [];
  let survival = 1;
  let sum = 0;
  let i = 0;
  while (i < order.length) {
    const time = times[order[i] ?? 0]?.time ?? NaN;
    const atRisk = order.length - i;
    let events = 0;
    for (; i < order.length; i++) {
      const one = times[order[i] ?? 0];
      if (one?.time !== time) break;
      if (one.isEvent) events++;
    }
    if (events === 0) continue;
    survival *= (atRisk - events) / atRisk;
    sum += events / (atRisk * (atRisk - events));
    at.push(time);
    atRisks.push(atRisk);
    nEvent.push(events);
    survivals.push(survival);
    greenwood.push(sum);
  }
  return { times: at, atRisk: atRisks, nEvent, survival: survivals, greenwood };
}

/**
 * Returns what each time has to do with ln S(t) once it has left, at t or before: its constant influence.
 * Shape   in the order of `times`. While it is at risk its influence on ln S(t) is G(t), the sum of Greenwood's terms up to t.
 *         From its own time T on it stays at G(T) when censored, and at G(before T) − 1/n(T) at an event.
 * Source  infinitesimal jackknife: Therneau & Grambsch, Modeling Survival Data, 2000, 7.
 */
export function influencesAfterExit(times: readonly CensoredTime[], order: Uint32Array, steps: SurvivalSteps): Float64Array {
  const influences = new Float64Array(times.length);
  let step = -1;
  for (const i of order) {
    const one = times[i];
    if (one === undefined) continue;
    while ((steps.times[step + 1] ?? Infinity) <= one.time) step++;
    const now = step < 0 ? 0 : (steps.greenwood[step] ?? NaN);
    const before = step < 1 ? 0 : (steps.greenwood[step - 1] ?? NaN);
    influences[i] = one.isEvent ? before - 1 / (steps.atRisk[step] ?? NaN) : now;
  }
  return influences;
}

/** Returns a number 0, 1, 2 … per entry, the same for equal names, and how many numbers there are. */
export function clusterNumbers(names: readonly string[]): { of: Uint32Array; count: number } {
  const numbers = new Map<string, number>();
  const of = Uint32Array.from(names, (name) => {
    const known = numbers.get(name);
    if (known !== undefined) return known;
    numbers.set(name, numbers.size);
    return numbers.size - 1;
  });
  return { of, count: numbers.size };
}
