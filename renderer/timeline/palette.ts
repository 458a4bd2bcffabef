/** The colour variables of styles/tokens.css that the drawing uses. */
const VARIABLES = {
  paper: '--paper',
  panel: '--panel',
  panelSunk: '--panel-sunk',
  ink: '--ink',
  inkSoft: '--ink-soft',
  line: '--line',
  lineStrong: '--line-strong',
  accent: '--accent',
  accentWash: '--accent-wash',
  focus: '--focus',
  siteFinger: '--site-finger',
  siteToe: '--site-toe',
  siteEarLobe: '--site-ear-lobe',
  siteNasalAla: '--site-nasal-ala',
  siteForehead: '--site-forehead',
  siteOther: '--site-other',
  siteUnstated: '--site-unstated',
  lostFill: '--lost-fill',
  lostEdge: '--lost-edge',
  lostInk: '--lost-ink',
  doubtfulFill: '--doubtful-fill',
  recordGapFill: '--record-gap-fill',
  recordGapInk: '--record-gap-ink',
  vasopressorFill: '--vasopressor-fill',
  vasopressorInk: '--vasopressor-ink',
  eventInk: '--event-ink',
  rateInk: '--rate-ink',
  rateSecondInk: '--rate-second-ink',
  pressureInk: '--pressure-ink',
  temperatureInk: '--temperature-ink',
  gasInk: '--gas-ink',
} as const;

export type PaletteKey = keyof typeof VARIABLES;
/** Colours as the canvas takes them. */
export type Palette = Readonly<Record<PaletteKey, string>>;

/** Returns the name of the CSS variable behind a palette key, for elements that are styled rather than painted. */
export function cssVariable(key: PaletteKey): string {
  return `var(${VARIABLES[key]})`;
}

/** The colours in force, as a store that React can follow: one per mounted timeline. */
export interface PaletteSource {
  subscribe(listener: () => void): () => void;
  /** The same object until the theme changes. */
  snapshot(themeName: string): Palette;
}

/** Returns a source that reads the variables from the document's root and again whenever its theme attribute changes. */
export function createPaletteSource(): PaletteSource {
  let cachedKey: string | null = null;
  let cached: Palette | null = null;
  return {
    subscribe(listener) {
      const observer = new MutationObserver(listener);
      observer.observe(document.documentElement, { attributes: true, attributeFilter: ['data-theme', 'class', 'style'] });
      return () => {
        observer.disconnect();
      };
    },
    snapshot(themeName) {
      const { theme = '', printing = '' } = document.documentElement.dataset;
      const key = `${themeName}|${theme}|${printing}`;
      if (cached !== null && key === cachedKey) return cached;
      const style = getComputedStyle(document.documentElement);
      const read: Record<string, string> = {};
      for (const [name, variable] of Object.entries(VARIABLES)) read[name] = style.getPropertyValue(variable).trim() || '#808080';
      cachedKey = key;
      cached = read as Palette; // every key of VARIABLES was just set
      return cached;
    },
  };
}
