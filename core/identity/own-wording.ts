/*
 * The program's own wording that would be asked about as a name or a number if it stood in somebody's text: names of statistical
 * methods, of standards and of the slides' cases. A test makes the reports and slides of the sample cases and finds nothing of ours asked about.
 */

/** Phrases that are ours as a whole. */
export const OWN_PHRASES =
  /(?<![\p{L}\d])(?:Case [A-Z]{1,2}(?![\p{L}\d])|°C|SHA-256|Lacuna \d+\.\d+\.\d+|Kaplan[–-]Meier|Clopper[–-]Pearson|Mann[–-](?:Whitney|Kendall)|Bland[–-]Altman|Wilson(?= (?:interval|score|limits?|method))|Newcombe|Greenwood|Laney|Anhøj|Perla|Brown dots|[Kk]rippendorff|Cohen(?=['’]s (?:kappa|\p{Lu})| kappa)|Fleiss|Landis (?:&|and) Koch|Poisson|Mantel[–-]Haenszel|[pug]-?chart|XmR|seed \d{1,8}(?!\d)|phase [12]|Phase [12]|Latin-1|[Ii][Ss][Oo]-8859-1)(?![\p{L}])/gu;

/** Words of letters and figures. */
export const OWN_SIGNS: ReadonlySet<string> = new Set(['SpO2', 'SpO₂', 'EtCO2', 'etCO2', 'FiO2', 'CO2', 'O2', 'N2O', 'x2', 'A4', 'µg', 'm²', 'age_band', 'case_id', 'spo2', 'etco2', 'sha256', 'sha256sum', 'SHA256SUMS']);

/** Words that bear a capital inside a sentence and name nobody. */
export const OWN_CAPITALS: ReadonlySet<string> = new Set([
  'Lacuna', 'I', 'A', 'PI', 'MAP', 'HR', 'ECG', 'NIBP', 'IV', 'CSV', 'PDF', 'HTML', 'PPTX', 'SVG', 'PNG', 'JSON', 'UTC', 'UCUM', 'LOINC', 'SNOMED', 'ASA', 'CI', 'SD', 'IQR', 'QI', 'TIVA', 'MAC', 'BMI', 'INN', 'ATC', 'ICU', 'OK', 'Trendelenburg', 'RECORD', 'STROBE', 'dateOrder', 'README', 'Hg', 'ug', 'iU', 'BP', 'DIR',
]);
