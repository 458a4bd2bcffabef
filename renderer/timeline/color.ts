/** Returns a CSS colour made see-through; `alpha` 0 to 1. Takes `#rrggbb`; any other colour is left to the browser to mix. */
export function withAlpha(color: string, alpha: number): string {
  const share = Math.max(0, Math.min(1, alpha));
  if (/^#[0-9a-f]{6}$/i.test(color)) return `${color}${Math.round(share * 255).toString(16).padStart(2, '0')}`;
  return `color-mix(in srgb, ${color} ${Math.round(share * 100)}%, transparent)`;
}
