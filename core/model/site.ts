/** Where an oximeter sensor can sit, spelled as the output files spell it. */
export const SITES = ['finger', 'toe', 'ear lobe', 'nasal ala', 'forehead', 'other', 'unstated'] as const;
export type Site = (typeof SITES)[number];

/** One sensor of a case. Two sensors at the same (or no stated) site are told apart by `sensor`. */
export interface SensorPlace {
  readonly site: Site;
  /** What the export calls it ('1', '2', 'left'); '' when the site has only one sensor. */
  readonly sensor: string;
}

/** Returns the text that names a sensor on screen and keys it inside a case: `finger`, `unstated 2`. */
export function siteKey(place: SensorPlace): string {
  return place.sensor === '' ? place.site : `${place.site} ${place.sensor}`;
}

/** Stands where a sensor is named otherwise: the whole case, with the times in which none of its sensors gave information. */
export const BLIND_KEY = 'case';
