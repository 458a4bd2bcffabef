const MINUS = '\u2212';

/** Returns `value` with `digits` decimals, thousands parted by commas, a true minus sign, and '–' for a missing (null or NaN) value. */
export function numberText(value: number | null, digits = 0): string {
  if (value === null || !Number.isFinite(value)) return '–';
  const fixed = Math.abs(value).toFixed(digits);
  const [whole = '', fraction] = fixed.split('.');
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, ',');
  const sign = value < 0 && Number(fixed) !== 0 ? MINUS : '';
  return fraction === undefined ? `${sign}${grouped}` : `${sign}${grouped}.${fraction}`;
}

/** Returns the shortest text that keeps up to `maxDigits` decimals: 100 → "100", 0.25 → "0.25". */
export function plainNumberText(value: number | null, maxDigits = 3): string {
  const fixed = numberText(value, maxDigits);
  return fixed.includes('.') ? fixed.replace(/\.?0+$/, '') : fixed;
}

/**
 * Returns a share (0 to 1) as per cent with one decimal, two below 1 %.
 * A share that is not zero is never shown as zero: it reads "under 0.01 %".
 */
export function shareText(share: number | null): string {
  if (share === null || !Number.isFinite(share)) return '–';
  const pct = share * 100;
  if (pct > 0 && pct < 0.01) return 'under 0.01 %';
  return `${numberText(pct, pct !== 0 && pct < 1 ? 2 : 1)} %`;
}

/** Returns a saturation in whole per cent, with a decimal only where the record has one. */
export function saturationText(value: number | null): string {
  return value === null ? '–' : `${plainNumberText(value, 1)} %`;
}

/** Returns a count with its noun: "1 case", "3 cases", "no cases". */
export function countText(count: number, one: string, many: string): string {
  if (count === 0) return `no ${many}`;
  return `${numberText(count)} ${count === 1 ? one : many}`;
}

/** Returns a UCUM unit as a clinician writes it: `ug/kg/min` → "µg/kg/min", `[iU]` → "units", `mm[Hg]` → "mmHg". */
export function unitText(ucum: string): string {
  return ucum
    .replace(/\[iU\]/g, 'units')
    .replace(/mm\[Hg\]/g, 'mmHg')
    .replace(/\bug\b/g, 'µg')
    .replace(/\bCel\b/g, '°C');
}

/** Returns dose and unit, or "dose not stated" when there is none. */
export function doseText(amount: number | null, ucum: string): string {
  if (amount === null) return 'dose not stated';
  const unit = unitText(ucum);
  return unit === '' ? `${plainNumberText(amount)} (unit not stated)` : `${plainNumberText(amount)} ${amount === 1 && unit === 'units' ? 'unit' : unit}`;
}

/** Returns a byte count in words of a thousand: "812 bytes", "3.2 MB". */
export function byteText(bytes: number): string {
  if (bytes < 1000) return countText(bytes, 'byte', 'bytes');
  if (bytes < 1e6) return `${numberText(bytes / 1e3, bytes < 1e4 ? 1 : 0)} kB`;
  if (bytes < 1e9) return `${numberText(bytes / 1e6, bytes < 1e7 ? 1 : 0)} MB`;
  return `${numberText(bytes / 1e9, 1)} GB`;
}
