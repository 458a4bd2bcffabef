/*
 * Words by which headings name a role, in English, German and French, after `plainHeading`.
 * Source: common practice without source; handbook section 10 for what exports carry.
 * A heading only proposes a role: the column's content has to agree.
 */

/** What stands further on names nothing; patterns that look for brackets in it would take the square of its length. */
const LONGEST_HEADING = 400;

/** Returns a heading in lower case, accents and bracketed parts removed, every other sign a single blank. */
export function plainHeading(heading: string): string {
  return heading
    .slice(0, LONGEST_HEADING)
    .replace(/[([{<][^)\]}>]*[)\]}>]/g, ' ')
    .replace(/([a-z0-9])([A-Z][a-z])/g, '$1 $2')
    .normalize('NFD')
    .replace(/[\u0300-\u036f]/g, '')
    .replace(/ß/g, 'ss')
    .toLowerCase()
    .replace(/[^a-z0-9#%°]+/g, ' ')
    .trim();
}

export type HeadingRole =
  | 'time'
  | 'end time'
  | 'written'
  | 'elapsed'
  | 'counter'
  | 'case'
  | 'patient'
  | 'identifier'
  | 'name'
  | 'number'
  | 'unit'
  | 'dose unit'
  | 'rate unit'
  | 'site'
  | 'sensor'
  | 'flag'
  | 'text'
  | 'drug'
  | 'dose'
  | 'rate'
  | 'route'
  | 'action'
  | 'author';

/** The first entry that fits names the role, so the special ones stand before the general ones. */
const ROLES: readonly { readonly role: HeadingRole; readonly words: RegExp }[] = [
  { role: 'identifier', words: /^(?:(?:pat(?:ient(?:en)?)?s?|pt|person) ?(?:full |last |first |family |given )?(?:name|names|vorname|nachname|nom|prenom)|(?:full|last|first|family|given|middle|maiden) ?names?|sur ?name|fore ?name|nachname|vorname|familienname|geburtsname|prenom|nom(?: de famille)?|initials|mrn|emr(?: id)?|(?:pat(?:ient)? |medical |health |hospital |clinic |chart )?record (?:no|nr|num|number|id)|(?:medical|hospital|health|nhs|chart|pid|social security|insurance|ssn|kv|krankenversicherungs?|versicherten?|versichertennummer|medicare|passport) ?(?:no|nr|num|number|nummer|id|record|card)?|medical record.*|hospital id|nhs.*|ssn|pid|kvnr|(?:date of )?birth(?: ?date| ?day)?|birth ?date|date of birth|dob|geb(?:oren|urtsdatum|urtstag)?(?: datum| am)?|geburtsdatum|date de naissance|ne le|naissance|(?:home |street |postal |e ?mail |mail )?address(?:e)?|adresse|anschrift|strasse|street|city|wohnort|post ?code|zip(?: code)?|plz|code postal|tele?phone(?: number| no)?|phone(?: number| no)?|mobile(?: number)?|telefon|e ?mail)$/ },
  { role: 'written', words: /^(?:stor(?:e|ed)|enter(?:ed)?|entry|saved?|filed?|fil(?:e|ing)|written|creat(?:ed?|ion)|modif(?:y|ied)|updat(?:ed?)|validat(?:ed?)|documented|erfasst|gespeichert|eingegeben|saisi)(?: ?(?:at|on|am|le|date|time|datetime|timestamp|stamp|zeit|um))*$|^\w*entry ?(?:offset|time)$/ },
  { role: 'end time', words: /^(?:(?:end|stop|finish|ende?|fin|bis|until|to)(?: ?(?:time|date|datetime|date ?time|at|zeit|datum|heure))*|(?:time|date) (?:end|stop|to)|stopped(?: at)?|ended(?: at)?)$/ },
  { role: 'author', words: /^(?:author|user|user ?name|staff|nurse|anaesthetist|anesthetist|anesthesiologist|clinician|provider|operator|surgeon|by|entered by|given by|recorded by|signed by|arzt|benutzer|operateur|chirurg|medecin|source|device|device id|monitor|cgid)$/ },
  { role: 'case', words: /^(?:(?:case|fall|cas|op|operation|surgery|procedure|anaesthe(?:tic|sia)|anesthe(?:tic|sia)|narkose|eingriff|encounter|episode|stay|icu ?stay|visit|admission|hadm|record|session|event case|intervention|patient ?unit ?stay|recording|log|csn|acc(?:ession)?|theatre case|or case)(?: ?(?:id|no|nr|num|number|nummer|key|code|ref|reference|identifier|index|#))?|caseid|fallnummer|fallnr|fall ?id|opnr|op nr|#case|numero de cas|no de cas|id cas)$/ },
  { role: 'patient', words: /^(?:(?:pat|patient|patienten|subject|participant|proband|sujet|study|pseudonym|pt|person|animal)(?: ?(?:id|no|nr|num|number|nummer|key|code|ref|identifier|#))?|id)$/ },
  { role: 'counter', words: /^(?:#|no|nr|num|row|row ?(?:no|nr|num|number|id|index)|index|idx|line|line ?(?:no|nr|number)|sample|sample ?(?:no|nr|number|index)|lfd(?: nr)?|seq(?:uence)?(?: ?(?:no|nr|number|id))?|record index|numero|ligne|zeile|zeilennr|n)$/ },
  { role: 'elapsed', words: /^(?:(?:t|time|zeit|temps)? ?(?:elapsed|relative|rel|offset|since .*|from start|after start|verstrichen\w*|ecoule)(?: ?time)?(?: ?(?:s|sec|secs|seconds|sekunden|secondes|min|mins|minutes|minuten|ms|h|hours))?|(?:t|time|zeit|temps) ?(?:s|sec|secs|seconds?|min|mins|minutes?|ms|msec)|(?:s|sec|secs|seconds|sekunden|secondes|min|mins|minutes|minuten|ms|msec)(?: (?:elapsed|since .*|from .*|after .*))?|laufzeit|duration from start|\w*offset)$/ },
  { role: 'time', words: /^(?:(?:date|time|datetime|date ?time|timestamp|time ?stamp|stamp|zeit|zeitpunkt|uhrzeit|zeitstempel|datum|heure|horodatage|horaire|date heure|moment|clock|when|t|at|unix(?: ?time)?|epoch(?: ?(?:s|ms|seconds|milliseconds))?|instant|start)(?: ?(?:and|und|et|\/)? ?(?:time|date|zeit|uhrzeit|heure|stamp|utc|local|lokal|s|ms|given|recorded|observed|of \w+|at))*|(?:chart|record(?:ed)?|record(?:ing)?|observ(?:ed|ation)|event|meas(?:ured|urement|ure)?|mess|sample|start|begin|given|admin(?:istered|istration)?|actual|effective|occur(?:red|rence)|device|monitor|local|utc|obs|bolus|drug|dose|entry|log|aufnahme|gabe|beginn|debut|prise|administration|intake|order)(?: ?(?:time|date|datetime|date ?time|timestamp|time ?stamp|stamp|at|on|zeit|zeitpunkt|datum|um|am|heure|utc|local))+|charttime|starttime|begin|start|beginn|debut|recorded|observed|given at)$/ },
  { role: 'dose unit', words: /^(?:dose|dosis|amount|menge|dosage)(?: ?(?:unit|units|uom|einheit|einheiten|unite))$|^amountuom$|^doseuom$/ },
  { role: 'rate unit', words: /^(?:rate|infusion ?rate|flow|laufrate|debit)(?: ?(?:unit|units|uom|einheit|unite))$|^rateuom$/ },
  { role: 'unit', words: /^(?:unit|units|uom|value ?uom|valueuom|value unit|result unit|einheit|einheiten|masseinheit|unite|unites|ucum)$/ },
  { role: 'sensor', words: /^(?:sensor|probe|channel|kanal)(?: ?(?:id|no|nr|num|number|name|#))$/ },
  { role: 'site', words: /^(?:(?:sensor|probe|spo2|oximeter|measurement|body|anatomical|mess|sonden?)? ?(?:site|location|place|stelle|ort|localisation|emplacement)|site|location|messort|messstelle|lokalisation|sensor|probe|sonde|capteur|finger position|body ?site|limb|sensorort)$/ },
  { role: 'flag', words: /^(?:.* )?(?:status|statut|state|flags?|quality|qualitat|qualite|artefa[ck]ts?|artifacts?|artefakte?|validity|valid|invalid|signal ?quality|sq|sqi|signal iq|alarms?|messages?|device message|error|fehler|meldung|warn(?:ing)?s?)(?: (?:flag|code|text|letters|word|words))?$/ },
  { role: 'drug', words: /^(?:drugs?(?: ?name)?|medication(?: ?name)?|medicine|medicament|medikamente?|med|agent|substanz|substance|wirkstoff|arzneimittel|product|produit|arznei|praparat|active ingredient|ingredient|administered|drug given|fluid)$/ },
  { role: 'dose', words: /^(?:dose|dose or (?:infusion )?rate|rate or dose|dosis|dosage|dosierung|amount|menge|dose given|given amount|dose value|bolus dose|bolus|quantity|quantite|actual dose|dose amount)$/ },
  { role: 'rate', words: /^(?:rate|infusion ?rate|flow|flow rate|laufrate|debit|drug ?rate|pump rate|dose rate|vitesse)$/ },
  { role: 'route', words: /^(?:route|via|weg|applikation|applikationsweg|voie|route of administration|gabeweg|admin route)$/ },
  { role: 'action', words: /^(?:action|aktion|mode|form|admin type|administration type|given as|typ|type|kind|bolus or infusion|art|order type|category|kategorie|class)$/ },
  { role: 'name', words: /^(?:parameter(?: ?(?:name|label|code|id))?|parametername|param|variable(?: ?name)?|measure(?:ment)?(?: ?(?:name|type|label))?|signal(?: ?name)?|channel(?: ?name)?|item(?: ?(?:name|label))?|label|vital(?: ?sign)?(?: ?name)?|vitals?|observation(?: ?(?:name|type|code))?|metric|quantity|code|code text|display|loinc|analyte|test|bezeichnung|messgrosse|parametre|grandeur|groesse|messwertname|name|what|attribute|concept|kanal|series)$/ },
  { role: 'number', words: /^(?:value|val|values|result|reading|wert|messwert|valeur|numeric ?value|value ?num(?:eric)?|valuenum|number|numeric|resultat|ergebnis|measured ?value|obs value|observation value)$/ },
  { role: 'text', words: /^(?:events?(?: ?(?:text|name|description|type|note|label))?|text|free ?text|notes?|comments?|annotations?|remarks?|descriptions?|ereignis(?:se)?|bemerkung(?:en)?|kommentar|notiz|evenement|remarque|commentaire|entry|eintrag|entree|details?|marker|mark|what|action text|activity|intervention|massnahme|freitext|note text|narrative|log|caption|message text|info|inhalt|anmerkung)$/ },
];

/** Returns the role a heading proposes, null when it names none. Expects the heading as the file has it. */
export function roleOfHeading(heading: string): HeadingRole | null {
  const plain = plainHeading(heading);
  if (plain === '') return null;
  for (const entry of ROLES) if (entry.words.test(plain)) return entry.role;
  return null;
}

/** Returns whether a heading names a person directly (name, record number, birth date, address …). */
export function namesPerson(heading: string): boolean {
  return roleOfHeading(heading) === 'identifier';
}

const ELAPSED_WORDS = /\b(?:elapsed|duration|dauer|run ?time|laufzeit|since|seit|from start|after start|relative|rel|offset|verstrichen\w*|ecoulee?|duree)\b/;
const CLOCK_WORDS = /\b(?:clock|uhrzeit|uhr|time of day|tageszeit|wall|local|lokal|ortszeit|heure|hora)\b/;

/** Returns whether a heading says that its h:mm:ss are elapsed or those of a clock; null where it says neither ("Time", "Zeit"). */
export function clockSenseOf(heading: string): 'elapsed' | 'clock' | null {
  const plain = plainHeading(heading);
  return ELAPSED_WORDS.test(plain) ? 'elapsed' : CLOCK_WORDS.test(plain) ? 'clock' : null;
}

/** Returns the unit of elapsed time that a heading states, null when it states none. */
export function elapsedUnitOf(heading: string): 's' | 'min' | 'ms' | 'h' | null {
  const text = heading.toLowerCase().replace(/[^a-z]+/g, ' ');
  if (/\b(?:ms|msec|millis(?:econds)?|milliseconds)\b/.test(text)) return 'ms';
  if (/\b(?:s|sec|secs|seconds?|sekunden?|secondes?)\b/.test(text)) return 's';
  if (/\b(?:min|mins|minutes?|minuten?)\b/.test(text) || /minutes?$/.test(text)) return 'min';
  if (/\b(?:h|hr|hrs|hours?|stunden?|heures?)\b/.test(text)) return 'h';
  return null;
}
