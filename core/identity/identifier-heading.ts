import type { Withheld } from '../model/import-report.ts';

export type IdentifierKind = Exclude<Withheld['looksLike'], 'free text'>;

/*
 * Headings as `plainHeading` leaves them: lower case, no accents, single blanks. English, German, French, Spanish, Italian.
 * Source for what identifies: Safe Harbor, 45 CFR 164.514(b)(2)(i)(A) to (R), handbook 9.4. Words: common practice without source.
 */
const NUMBER = '(?:no|nr|num|number|nummer|numero|id|ids|code|key|identifier|kennung|nbr)';

const HEADINGS: readonly { readonly kind: IdentifierKind; readonly words: RegExp }[] = [
  {
    kind: 'birth date',
    words: /^(?:(?:patient(?:en)?s? |pat |pt )?(?:date of birth|birth ?date|birth ?day|birth|dob|d o b|born(?: on)?|geb(?:oren)?(?: ?(?:am|datum))?|geburts ?(?:datum|tag)|gebdat|date de naissance|naissance|ne le|nee le|ddn|fecha de nacimiento|fecha nac(?:imiento)?|nacimiento|data di nascita|nascita|nato il))$/,
  },
  {
    kind: 'age',
    words: /^(?:(?:patient(?:en)?s? |pat |pt )?(?:age|alter|edad|eta)|age (?:at|on|in|of) .*|age (?:y|yr|yrs|years|j|jahre|ans|group|band)|alter (?:in jahren|j|jahre|bei .*)|patientenalter|lebensalter|l age|age du patient|age patient|anchor age)$/,
  },
  {
    kind: 'name',
    words: new RegExp(
      '^(?:(?:pat(?:ient(?:en)?)?s?|pt|person|full|last|first|family|given|middle|maiden|birth|preferred|legal)(?: (?:full|last|first|family|given|middle|maiden))? ?(?:name|names|vorname|nachname|nom|prenom|nombre|nome)' +
        '|(?:patient )?(?:sur ?name|fore ?name|christian name|nachname|vorname|familienname|geburtsname|zuname|prenoms?|nom(?: de famille| d usage| du patient| patient)?|initials|initialen|initiales|apellidos?|nombre(?: y apellidos?)?|cognome|nome(?: e cognome)?|mother s maiden name)' +
        // Staff: their names and numbers identify persons too, and say where and when.
        '|(?:attending|primary|assisting|assistant|supervising|consultant|responsible|first|second|lead|on call)? ?(?:surgeons?|anaesthetists?|anesthetists?|anaesthesiologists?|anesthesiologists?|anesthesia provider|anaesthesia provider|physicians?|doctors?|clinicians?|providers?|nurses?|scrub nurse|circulating nurse|operators?|resident|registrar|perfusionist|technician|staff|performer|requester|referr(?:er|ing physician|ing doctor)|gp|general practitioner|next of kin|author|user|user ?name|login|recorded by|entered by|given by|signed by|documented by|verified by|validated by|administered by|charted by)' +
        `(?: (?:${NUMBER.slice(3, -1)}|name|names|last name|first name|initials))?` +
        '|(?:operateur|operateure|chirurg(?:in)?|anasthesist(?:in)?|anasthesie ?arzt|narkosearzt|arzt|arztin|behandelnder arzt|oberarzt|assistenzarzt|assistent|pflegekraft|anasthesiepflege|benutzer|benutzername|erfasst von|eingegeben von|dokumentiert von|hausarzt|bearbeiter|kurzel|medecin|chirurgien|anesthesiste|infirmier(?:e)?|iade|praticien|saisi par|cirujano|anestesista|anestesiologo|enfermero|enfermera|chirurgo|infermiere|medico)' +
        `(?: (?:${NUMBER.slice(3, -1)}|name))?)$`,
    ),
  },
  {
    kind: 'record number',
    words: new RegExp(
      '^(?:mrn|mr ?no|mr ?number|emr(?: id)?|emrn|urn|ur no|ur number|pid|pat ?id|kvnr|csn|har|nhs(?: .*)?|chi|ihi|ssn|nir|nif|nie|dni|curp|cip|nuss|ipp|iep|nss|codice fiscale|tessera sanitaria|steuer ?id|ahv(?: ?nr| ?nummer)?|svnr|sv ?nummer|medicare|medicaid|mbi|passport|passnummer|personalausweis(?: ?nr| ?nummer)?' +
        `|(?:pat(?:ient(?:en)?s?)?|medical|health|hospital|hosp|clinic|chart|health ?care|national) ?record(?: ?${NUMBER})?|record ?${NUMBER}|unit (?:no|nr|number)` +
        `|(?:medical|hospital|hosp|health|nhs|chart|pid|social security|national(?: insurance| health| identity)?|insurance|insured|policy|member|subscriber|beneficiary|health plan|plan|ssn|kv|kranken ?versicherungs?|versicherungs?|versicherten?|versicherten|medicare|passport|identity|driver s?|driving|licen[cs]e|certificate|file|folder|mpi|empi|registration|account|acct|billing|invoice|bill) ?(?:${NUMBER.slice(3, -1)}|record|card|licen[cs]e)(?: ?${NUMBER})?` +
        '|(?:versichertennummer|krankenversicherungsnummer|krankenkassennummer|sozialversicherungsnummer|aktenzeichen|krankenakte(?:nnummer|nnr)?|akten ?(?:nr|nummer)|archiv ?(?:nr|nummer)|barcode|wristband|numero de (?:dossier|securite sociale|patient|compte)|no de dossier|dossier(?: no| nr| patient)?|numero de (?:historia(?: clinica)?|expediente|afiliacion|cuenta)|historia clinica|nhc|expediente|numero (?:cartella|tessera|sanitario)|cartella(?: clinica)?(?: no| nr| numero)?)' +
        '|medical record.*|hospital id)$',
    ),
  },
  {
    kind: 'address',
    words: /^(?:(?:patient |home |street |postal |mailing |residential |current |billing )?address(?:e)?(?: ?(?:line)? ?\d)?|adresse|anschrift|strasse|strassenname|hausnummer|street(?: name)?|city|town|suburb|village|county|municipality|wohnort|gemeinde|ville|rue|commune|code postal|direccion|domicilio|calle|ciudad|codigo postal|poblacion|indirizzo|citta|residenza|(?:patient )?(?:post ?code|postal ?code|zip(?: ?code)?|zip ?4|plz|postleitzahl)|lat(?:itude)?|lon(?:gitude)?|geo ?code)$/,
  },
  {
    kind: 'contact',
    words: /^(?:(?:patient |home |work |mobile |cell |emergency |contact )?(?:tele ?phone|phone|mobile|cell|cell ?phone|fax|pager|bleep|telefon|telefonnummer|tel|handy|handynummer|rufnummer|mobiltelefon|telefono|movil|cellulare|e ?mail|email address|e mail adresse|courriel|correo(?: electronico)?|emergency contact|notfallkontakt|angehorige)(?: ?(?:number|no|nr|nummer|address|adresse|1|2))?|numero de telephone|url|web ?site|homepage|web ?page|skype)$/,
  },
  {
    kind: 'other number',
    // MAC and IP alone head a gas and a pressure (minimum alveolar concentration, inspiratory pressure); addresses of machines show in the cells.
    words: /^(?:(?:device|monitor|pump|sensor|probe|module|machine|equipment|implant|instrument|ventilator|workstation|gerate|geraete|oximeter)? ?(?:serial|serien|serie|series|s n|sn)(?: ?(?:no|nr|num|number|nummer|id|numero))?|serial|seriennummer|geratenummer|gerate ?id|numero de serie|numero di serie|udi|lot(?: ?(?:no|nr|number))?|mac ?(?:address|adresse|addr)|ip ?(?:address|adresse|addr)|host ?name|computer ?name|workstation(?: ?name)?|device ?(?:id|identifier|uid|udi)|monitor ?id|asset(?: ?(?:tag|no|number|id))?|inventory(?: ?(?:no|number))?|inventar ?(?:nr|nummer)|vehicle.*|licen[cs]e plate|kennzeichen|vin|fingerprint|photo(?:graph)?|biometric.*|uuid|guid|accession(?: ?(?:no|nr|number|id))?)$/,
  },
];

/** Headings of stays, accounts and admissions: record numbers where their cells are long numbers, ordinary codes elsewhere. */
const STAYS = new RegExp(`^(?:encounter|visit|admission|account|csn|inpatient|episode|aufnahme|besuchs?|sejour|passage|ingreso|ricovero|fall|pat(?:ient(?:en)?s?)?|pt|person|subject)(?: ?${NUMBER})?$|^(?:fallnummer|fallnr|aufnahmenummer|aufnahmenr|patientennummer|patientennr|patnr|patid)$`);

/**
 * Returns what a heading says that its column holds of a person; null for everything else.
 * Expects the heading after `plainHeading`. "Name" alone is not enough: in long tables it names the measurement.
 */
export function identifierOfHeading(plain: string): IdentifierKind | null {
  return HEADINGS.find((entry) => entry.words.test(plain))?.kind ?? null;
}

/** Returns whether a heading (after `plainHeading`) names a stay or a patient by a number that may be an ordinary code or one of a register. */
export function namesStayOrPatient(plain: string): boolean {
  return STAYS.test(plain);
}
