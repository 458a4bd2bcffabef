// Invented but plausible signals of one anaesthetic, second by second, from a seed.
// Nothing here comes from a recording. Sums, products and square roots only, so that every machine makes the same bytes.

/** Returns a generator of uniform numbers in [0, 1) (32-bit mixing, period 2^32). */
export function uniform(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let z = state;
    z = Math.imul(z ^ (z >>> 15), z | 1);
    z ^= z + Math.imul(z ^ (z >>> 7), z | 61);
    return ((z ^ (z >>> 14)) >>> 0) / 4294967296;
  };
}

/** Returns a roughly normal number, mean 0 and standard deviation 1 (sum of twelve uniforms). */
function normal(random) {
  let sum = -6;
  for (let i = 0; i < 12; i++) sum += random();
  return sum;
}

/** Returns `n` values that wander around 0 with standard deviation `sd` and memory of about `memoryS` seconds. */
function wander(random, n, memoryS, sd) {
  const keep = memoryS <= 1 ? 0 : 1 - 1 / memoryS;
  const kick = sd * Math.sqrt(1 - keep * keep);
  const out = new Float64Array(n);
  let x = sd * normal(random);
  for (let i = 0; i < n; i++) {
    out[i] = x;
    x = keep * x + kick * normal(random);
  }
  return out;
}

/** Returns `n` values that pass smoothly through the knots `[second, value]`, flat before the first and after the last. */
export function course(n, knots) {
  const out = new Float64Array(n);
  let k = 0;
  for (let t = 0; t < n; t++) {
    while (k + 1 < knots.length && knots[k + 1][0] <= t) k++;
    const [t0, v0] = knots[k];
    const next = knots[k + 1];
    if (next === undefined || t <= t0) out[t] = v0;
    else {
      const u = (t - t0) / (next[0] - t0);
      out[t] = v0 + (next[1] - v0) * u * u * (3 - 2 * u);
    }
  }
  return out;
}

/** Returns the signal `lagS` later, smoothed as a device with a response time of `responseS` would. */
function delayed(signal, lagS, responseS) {
  const out = new Float64Array(signal.length);
  let y = signal[0];
  for (let t = 0; t < signal.length; t++) {
    y += (signal[Math.max(0, t - lagS)] - y) / responseS;
    out[t] = y;
  }
  return out;
}

/** How long the blood takes from the lungs to a site, in seconds, and what its perfusion index is around (invented, plausible). */
const PLACES = {
  'finger': { lagS: 26, index: 2.4 },
  'toe': { lagS: 50, index: 1.1 },
  'ear lobe': { lagS: 8, index: 1.3 },
  'nasal ala': { lagS: 9, index: 7.5 },
  'forehead': { lagS: 10, index: 1.6 },
};

const inside = (spans, t) => spans.some(([from, to]) => t >= from && t < to);

/**
 * Returns the signals of one case, one value a second, NaN where the sensor gave none.
 * `scenario`: seconds, seed, saturation / heart / mean / temperature / carbon as knots, sites (name → on, off, index, factor, bias, losses).
 */
export function simulate(scenario) {
  const n = scenario.seconds + 1;
  const random = uniform(scenario.seed);
  const saturation = course(n, scenario.saturation ?? [[0, 98.2]]);
  const slowSaturation = wander(random, n, 240, 0.35);
  const heart = course(n, scenario.heart ?? [[0, 68]]);
  const slowHeart = wander(random, n, 120, 1.8);
  const fastHeart = wander(random, n, 6, 0.8);
  const mean = course(n, scenario.mean ?? [[0, 78]]);
  const slowMean = wander(random, n, 90, 2.2);
  const pulsePressure = course(n, scenario.pulsePressure ?? [[0, 48]]);
  const temperature = course(n, scenario.temperature ?? [[0, 36.4]]);
  const slowTemperature = wander(random, n, 400, 0.03);
  const carbon = course(n, scenario.carbon ?? [[0, 36]]);
  const slowCarbon = wander(random, n, 80, 0.7);

  const heartRate = heart.map((v, t) => (v <= 0 ? 0 : Math.max(30, v + slowHeart[t] + fastHeart[t])));
  const artMean = mean.map((v, t) => v + slowMean[t]);
  const blood = saturation.map((v, t) => Math.min(100, v + slowSaturation[t]));
  const delayedPulse = delayed(heartRate, 3, 4);

  const sites = {};
  for (const [name, site] of Object.entries(scenario.sites)) {
    const place = PLACES[name];
    const shown = delayed(blood, site.lagS ?? place.lagS, 9);
    const bias = course(n, site.bias ?? [[0, 0]]);
    const factor = course(n, site.factor ?? [[0, 1]]);
    const flicker = wander(random, n, 25, 0.11);
    const grain = wander(random, n, 2, 0.05);
    const spo2Grain = wander(random, n, 12, 0.35);
    const pulseGrain = wander(random, n, 4, 0.6);
    const silent = (t) => t < (site.on ?? 0) || t >= (site.off ?? n) || inside(site.losses ?? [], t);
    const values = (f) => Float64Array.from({ length: n }, (_, t) => (silent(t) ? NaN : f(t)));
    sites[name] = {
      spo2: values((t) => Math.min(100, Math.max(40, shown[t] + bias[t] + spo2Grain[t]))),
      index: values((t) => Math.max(0.02, (site.index ?? place.index) * factor[t] * (1 + flicker[t] + grain[t]))),
      pulse: values((t) => Math.max(25, delayedPulse[t] + pulseGrain[t])),
    };
  }

  return {
    n,
    sites,
    heartRate,
    artMean,
    artSys: artMean.map((v, t) => v + pulsePressure[t] * 0.64),
    artDia: artMean.map((v, t) => v - pulsePressure[t] * 0.36),
    temperature: temperature.map((v, t) => v + slowTemperature[t]),
    carbon: carbon.map((v, t) => (v <= 0 ? 0 : v + slowCarbon[t])),
  };
}
