/*
 * Words that stand in value cells instead of a number.
 * Source of the fillers: analysis-spec 3, handbook section 10, open-data (bedside-oximeter-log, uw-varied-fio2).
 */

const FILLER = /^(?:[-–—_.*?#]+|n\/?a|#n\/?a|#value!|#ref!|#div\/0!|#null!|#num!|nan|-nan|null|nil|none|inf|-inf|missing|no ?data|\\n|<null>|keine?|unknown|unk|void)$/i;

/** Says that the sensor gave nothing: the value beside or in place of it is no current measurement. */
const SENSOR_LOST =
  /\b(?:(?:sensor|probe|transducer|sonde|fühler|finger ?clip|clip)[\s-]*(?:is )?(?:off|fault|failure|malfunction|disconnected|unplugged|displaced|removed|error|ab|aus|getrennt|débranché\w*)|(?:no|kein|pas de) (?:sensor|probe|pulse|signal|finger|puls|capteur)|disconnect\w*|unplugged|leads? off|off finger|(?:pulse|signal)[\s-]*search\w*|search\w*|pulssuche|recherche|artefa[ck]t\w*|artifact\w*|artefakt\w*|invalid|ungültig|non[- ]?pulsatile|signal[\s-]*(?:inadequate|lost|loss|erratic)|signal[\s-]*poor|poor[\s-]*signal|no ?signal|low[\s-]*signal|unreliable|questionable|inadequate|erratic|malfunction|interference|not measured|out of range|fault|fehler|error|standby)\b/i;

/** Status letters that oximeters print: sensor disconnected, sensor off, pulse search. Source: open-data/bedside-oximeter-log. */
const LOST_LETTERS = new Set(['SD', 'SO', 'PS']);
/** Letters that say nothing against the value: alarm silenced, motion, saturation limit, alarm off, rate limits. Same source; PL, PH, SH from memory. */
const HARMLESS_LETTERS = new Set(['AS', 'MO', 'SL', 'AO', 'SH', 'PL', 'PH', 'LB', 'LP', 'LM', 'PR']);

const HARMLESS = /^(?:ok|okay|good|valid|gültig|normal|fine|measured|on|connected|present|gut|bon|true|yes|alarm\w*|silenced|motion|low perfusion)$/i;

/** Returns whether a text is one of the fillers that exports write for "no value". */
export function isFillerWord(text: string): boolean {
  return FILLER.test(text);
}

/** Returns whether a text says that the sensor gave no current measurement. */
export function saysSensorLost(text: string): boolean {
  return SENSOR_LOST.test(text.replace(/[-_]/g, ' ')) || SENSOR_LOST.test(text);
}

/** What a status cell says about the values of its row. */
export type StatusWord = 'lost' | 'harmless' | 'unknown';

/** Returns what a status cell says: letters (`SD AS`) or words ("sensor off"); 'unknown' for anything else. */
export function parseStatus(text: string): StatusWord {
  const trimmed = text.trim();
  if (trimmed === '' || isFillerWord(trimmed)) return 'harmless';
  const tokens = trimmed.split(/[\s,;/|+]+/);
  if (tokens.every((token) => LOST_LETTERS.has(token) || HARMLESS_LETTERS.has(token))) {
    return tokens.some((token) => LOST_LETTERS.has(token)) ? 'lost' : 'harmless';
  }
  if (saysSensorLost(trimmed)) return 'lost';
  return HARMLESS.test(trimmed) ? 'harmless' : 'unknown';
}

/** Returns whether a text is made of known status letters or words; used to tell a status column by its content. */
export function isStatusWord(text: string): boolean {
  return parseStatus(text) !== 'unknown';
}
