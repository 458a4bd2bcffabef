/*
 * Distribution functions and quantiles, to about 1e-13. Series and continued fractions: Abramowitz & Stegun 26.4 and 26.5,
 * the continued fractions by the modified method of Lentz. Quantiles by bisection on the distribution function: slow,
 * plain and safe; a handful is computed per result.
 */

const LANCZOS = [
  0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059, 12.507343278686905,
  -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
];
const TINY = 1e-300;
const EPSILON = 1e-16;

/** Returns ln Γ(x) for x > 0. Source: Lanczos approximation, g = 7, n = 9. */
export function logGamma(x: number): number {
  if (x < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * x)) - logGamma(1 - x);
  const z = x - 1;
  let sum = LANCZOS[0] ?? NaN;
  for (let i = 1; i < LANCZOS.length; i++) sum += (LANCZOS[i] ?? NaN) / (z + i);
  const t = z + 7.5;
  return 0.5 * Math.log(2 * Math.PI) + (z + 0.5) * Math.log(t) - t + Math.log(sum);
}

/** Returns the regularised lower incomplete gamma function P(a, x). */
export function gammaP(a: number, x: number): number {
  if (x <= 0) return 0;
  return x < a + 1 ? gammaSeries(a, x) : 1 - gammaFraction(a, x);
}

/** Returns the regularised upper incomplete gamma function Q(a, x) = 1 − P(a, x), exact to its last digits in the far tail too. */
export function gammaQ(a: number, x: number): number {
  if (x <= 0) return 1;
  return x < a + 1 ? 1 - gammaSeries(a, x) : gammaFraction(a, x);
}

function gammaFront(a: number, x: number): number {
  return Math.exp(-x + a * Math.log(x) - logGamma(a));
}

/** Terms needed near x = a grow with the root of a. */
function mostTerms(a: number): number {
  return 10_000 + 20 * Math.sqrt(a);
}

function gammaSeries(a: number, x: number): number {
  const most = mostTerms(a);
  let term = 1 / a;
  let sum = term;
  for (let n = 1; Math.abs(term) > Math.abs(sum) * EPSILON && n < most; n++) {
    term *= x / (a + n);
    sum += term;
  }
  return sum * gammaFront(a, x);
}

function gammaFraction(a: number, x: number): number {
  if (x === Infinity) return 0;
  const most = mostTerms(a);
  let b = x + 1 - a;
  let c = 1 / TINY;
  let d = 1 / b;
  let h = d;
  for (let i = 1; i < most; i++) {
    const an = -i * (i - a);
    b += 2;
    d = 1 / nonZero(an * d + b);
    c = nonZero(b + an / c);
    const step = d * c;
    h *= step;
    if (Math.abs(step - 1) < EPSILON * 10) break;
  }
  return gammaFront(a, x) * h;
}

/** Returns the regularised incomplete beta function I_x(a, b). */
export function betaI(x: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x));
  return x < (a + 1) / (a + b + 2) ? (front * betaFraction(x, a, b)) / a : 1 - (front * betaFraction(1 - x, b, a)) / b;
}

function betaFraction(x: number, a: number, b: number): number {
  let c = 1;
  let d = 1 / nonZero(1 - ((a + b) * x) / (a + 1));
  let h = d;
  for (let m = 1; m < 10_000; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / nonZero(1 + even * d);
    c = nonZero(1 + even / c);
    h *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / nonZero(1 + odd * d);
    c = nonZero(1 + odd / c);
    const step = d * c;
    h *= step;
    if (Math.abs(step - 1) < EPSILON * 10) break;
  }
  return h;
}

function nonZero(x: number): number {
  return Math.abs(x) < TINY ? TINY : x;
}

/** Returns P(X ≤ k) for a binomial X of n trials. */
export function binomialCdf(k: number, n: number, p: number): number {
  if (k < 0) return 0;
  return k >= n ? 1 : betaI(1 - p, n - k, k + 1);
}

/** Returns the p-quantile of Student's t with `df` degrees of freedom. */
export function studentQuantile(p: number, df: number): number {
  if (p === 0.5) return 0;
  if (p < 0.5) return -studentQuantile(1 - p, df);
  const upperTail = (t: number) => 0.5 * betaI(df / (df + t * t), df / 2, 0.5);
  return bisect((t) => 1 - p - upperTail(t), 0, 1);
}

/** Returns the p-quantile of chi-square with `df` degrees of freedom. */
export function chiSquareQuantile(p: number, df: number): number {
  return bisect((x) => gammaP(df / 2, x / 2) - p, 0, df);
}

/** Returns P(X > x) for a chi-square X with `df` degrees of freedom. */
export function chiSquareUpper(x: number, df: number): number {
  return gammaQ(df / 2, x / 2);
}

/** Returns the p-quantile of the beta distribution with parameters a and b, both above 0. */
export function betaQuantile(p: number, a: number, b: number): number {
  return bisect((x) => betaI(x, a, b) - p, 0, 1);
}

/** The root of a rising function: above `low`, and above `high` too where it lies there. */
function bisect(f: (x: number) => number, low: number, high: number): number {
  let lo = low;
  let hi = high;
  while (f(hi) < 0 && hi < 1e12) [lo, hi] = [hi, hi * 2];
  for (let i = 0; i < 200 && hi - lo > EPSILON * Math.abs(hi); i++) {
    const mid = (lo + hi) / 2;
    if (f(mid) < 0) lo = mid;
    else hi = mid;
  }
  return (lo + hi) / 2;
}
