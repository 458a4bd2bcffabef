/*
 * Words of everyday English, of an operating room and of this program's own pages and reports: what may leave without a question
 * (docs/methods/release.md). Common practice, no source: gathered from our own pages, reports and messages, and from memory. Held in
 * lower case; capitalised inside a sentence a word may be a surname all the same, and is asked about.
 */
const WORDS = `
able aborted about above abrupt absence absent absolute abstract acceleration accept accepted accepting accepts access account accounted accounting accuracy
acknowledged across act acted acting action acts add added adding addition address addresses adds adequate adjusted administrations administrator admission
adult adults advice advise advised afraid after afterwards again against age aged ages agree agreed agreement agreements agrees ahead aid aids aim air airway al
ala alarm alarms alert alerted aliases align aligned alike alive all allow allowed allows almost alone along alpha already also altered alternative alters
although altogether always am ambiguous amended aml among amount amp amplitude an anaesthesia anaesthetic anaesthetics anaesthetist anaesthetists analysed
analyses analysing analysis analyzed anchored and anesthesia anesthesiologist anew angular animation annotated annotation annotations announces anonymity
anonymous another answer answered answers antialiased anticipate anticipated any anybody anyone anything anyway anywhere apart apologise apos apostrophe
apostrophes appear appeared appears append appended applied applies apply approach arbitrary architecture archive archiver archives are area args argument
arguments aria arm arms around arrange arranged arrangement arrangements array arrays arrest arrive arrived arrow arrows artefact artefacts arterial artery
arthroscopy as asa ascending aside ask asked asking asks asleep aspirated asserted assess assessed assessment assigned assist assistance assistant associated
association assume assumed assumes async asystole at atomic attached attempt attempted attempts attend attended attention attributable attributes audit
authenticate author authors auto available average averaged averages averaging avoid await aware away axes axis back backed backend background backup backups
bad badly bag bagged balance band bandage bands bar bare bars base baseline basis batch be bear bears became because become becomes bed bedside been before
beforehand began begin beginning begins begun behind being believe believed belong belongs below bend beneath bent beside besides best beta better between
beyond bias biased bidirectional big billing binary binds binomial bins biometrics birth birthday bit bits bladder blank blanked blanket blankets blanks bleed
bleeding blind blinded blinding block blocked blocks blood bloodless blown blue blunts blurs bodies body bold bolus boluses book boolean bootstrap border both
bottom bound bounded bounds box boxes brachial bracket brackets bradycardia break breaks breath breathing bridge bridged bridging bridgings brief briefly bright
bring brings broad broke broken brought browser browsers bucket buckets budget buf build builds built bulk bundle bundled bundler burden busy but button buttons buy by
bypass byte bytes cable cables cache cached calculations calendar calibration call called calling calls calm came can cancelled cancels cannot cannula cannulas
canonical canvas capillary capped caption carbon card cardiac care careful carefully caret carmine carriage carried carries carry case cases catch categories
category cath catheter caught causal cause caused causes caution cautions cavity ceases cell cells censored censoring censorings cent center central centre
certain certainly certainties certainty certificate ch chain chained chair chance change changed changes changing channel channels chapters character characters
charge charset chart charted charting charts charttime chase cheaper check checked checking checklist checks checksum checksums chest chi child children
chloride choice choices choose chooses choosing chose chosen chunk chunks cipher circle circuit circular circulation claimed claims clamp clamped class classes
clean cleaning clear cleared clearly clears click climb climbs clinical clinically clinicians clip clipped clock clocks close closed closely closer closes
closing clue cluster clustered clustering clusters coarse coarser coarsest code coded codes cohort cohorts coin coincide coincidence coincidences cold collapse
colleague colleagues collect colon color colour colours column columns combined come comes coming comma command commands commas comment comments commit
committed committee common commonest commonly communicate communicated communication commutative companion companions comparable compare compared compares
comparing comparison comparisons compile complain complete completely completes complex complication compression computation computed computer computes concern
concerned concerns conclude conclusion condition conditional conf conference confidence confidential confidentiality configuration confirm confirmed conflict
conflicts confused connect connected connection connections connects conscious consecutive consensus conservative conserved consider considered const constant
constantly constants construction constructor consultant contact contained containers content contents context continuation continue continued continuity
continuous contract contradict contradicts contribute contributed contributing control controlled controls converged conversion converted converts convolution cookie cool
cooled cooling copied copies copy core cores correct corrected correction corrections correctly corrects correlate correlation correlations cosmesis cost costs
could count counted counter counting counts couple course courses cover coverage covered covering covers crash crashes create creates critical cross crossed
crosses crossings crowd crowded crude cs csv cuff cuffs cumulant cumulative current currently cursor curve curves custom customary cut cuts cutting cx cy
cyanosed cyanosis cycle cycled cycles daily damage damaged damp danger dark dash dashes data database databases date dated dates day daylight days dd de deal
dealt decide decided decides deciding decimal decision decisions declaration declarations declared declares decline declined decrease decreased deep deepened
deeper default defaults defect defective defects define defined definition definitions degree degrees delay delayed delays delete deleted deletes delimited
delimiter delimiters deliver delivered delta demand demanded demands denied denominator denominators denser department departmental depend dependence
dependencies dependency depends depth derivation derivations derived desaturate desaturated desaturation desaturations describe described describes description
deserve deserves design desk desktop despite detail details detect detected detection determine deviate deviation deviations device devices diagnosed diagnosis
diagram dialog dialogue diamond diamonds diastolic dictionary did didn't die dies differ differed difference differences different differently differs difficult
difficulty digest digests digit digital digits dim dimensions dips direct direction directly dirty disagree disagreed disagreement disagreements disagrees
discard discarded discards disclosure disconnect disconnected disconnection discoverable discs discuss discussed discusses discussing discussion disease disk
dislodged dispersion displaced display displayed displays disputed disputes distal distance distances distract distracted distraction distribute distribution
disturb div divide divided dizzy dl dmax dmin dmy do docs doctor doctors doctype document documentation documents does doesn't doing don't done door doors dose
doses dot dots dotted double doubled doubles doubling doubt doubtful doubtfully down draft drag dragged drape draped drapes draping draw drawing drawings drawn
draws dress dressing drift drip dripped drive drop dropout dropouts dropped dropping drops drug drugs dry dt due dumps duplicates duration durations during dusk
duty dye dyes each ear earlier earliest early easily easy ed edge edges edited editing edits effect effective effects effort eight eighty either elapsed elbow
elbows elective electrode electrodes electronic electrosurgery element elements else elsewhere embed embedded embeds emergency emptied empty encoder encoding encodings
encounter encounters encrypt encrypted encryption end ended ending endless endotracheal ends engines enough ensure enter entered enterprise entire entities
entries entry environment ephedrine epinephrine episode episodes equal equals equation equipment erase erased error errors especially essential establish
established estimate estimated estimates estimator et eval even evening evenly event events ever every everybody everyday everyone everything everywhere
evidence exact exactly examine examined example examples exceed excel exceljs except exception exchange exchanged exclude excluded excludes exclusive exist
exists exit exp expect expected experience experienced expired explain explained explains explanation explicit export exported exports exposure exposures
extends external extra extrapolation extremely extremity extubated extubation eye eyes face faced facet facets facing fact factor factors facts fade fades
fading fail failed failing fails failure failures faint fall fallen falling falls false falsely familiar family far fast faster fault faulty fax fear feasible
feature feed feedback feel feeling feet fell felt fetal fetch fetched fetches few fewer fewest fff fflate fhir field fields fifteen fifth fifths figcaption
figure figures file files filing fill filled filler fillers fills filter filtered filtering filters final finally find finding findings finds fine finer finest
finger fingerprint fingerprints fingers finish finished finite first fit fits fitted five fix fixed fixes flag flagged flags flat flatten flex flicker floating
floor flow flows fluid fluids flushed flushes folder folders follow followed following follows font fontkit fonts foot footer for forbids force forced forearm
forehead foreign forged forget forgot forgotten form format formats formatted former forms formula formulas forte forward found four fourteen fourth fraction
fractional fractions fragile frame frames free freedom frequencies frequent frequently from front frozen full fullest fully function functions funnel funnels
further future gain gains gamma gap gaps garbage gas gate gather gauge gave gel general generator generators gently geography geometry get gets getting gigabyte
gigabytes give given gives giving glove gloves gnm go goal goes going golden gone good got gown grade grades gradual gradually graphics great greater greatest
green grid grip ground group grouped grouping groups grow growing grows guarded guess guessed guesses guessing guests guide guides gzip had haemorrhage hair
half halved halves halving hand handbook handed handing handled handles handling handover hands hang hangs happen happened happening happens hard hardly harm
has hash hashes hatched have having haystack he head headed header headers heading headings headless headrest healthy hear heard heart hearts heat heated heavy
height held help helped helpful helping hence her here hernia hexadecimal hh hibernation hidden hide hides high higher highest him hinder hint his histories
history hit hits hms hold holders holding holds hole hollow home honest hope hospital hospitals host hostile hot hour hourly hours house how however html http
https human hundred hung hurry hypergeometric hyphens hypotension hypotensive hypothermia hypothermic hypovolaemia hypoxaemia hypoxia ice id idea idempotent
identifiable identification identified identifier identifiers identifies identify identifying identity idle ids if ignore ignored ill image images img immediate
immediately implausible implement implementation import important imported importing imports impossible improbable improve improved improvement improving in
inaudible incident incision include included including inclusion inclusive incomplete incorrect increase increased increasing indeed indented independence
independent index indicate indicated indices indigo indocyanine induced induction infant infants infer infinite infinitesimal inflate inflated inflates
inflating inflation inflations influence influences inform information informed informing informs infusion infusions initial initially initials injected
injection inline inn inner innermost inotrope input inputs inserted inserting insertion inside inspected inspired installed installs instant instantaneous
instants instead instruct instrument insufflation integration intend intended intensive interchangeable interest interface interfaces interfere interference
intermittent internal international interpolated interrupt interrupted interruption interruptions interval intervals into introduce intubated intubation
invasive invented inverse investigate investigation invisible involve involved irregular irregularly irrigation is isn't isolated isosulfan issue issued issues
it item itemid items its itself iv jackknife jaw jitter jittered job join joined joining joins joint journal json judge judged judgement judgements judges junk
just kappa keep keeper keepers keeping keeps kept key keyboard keyed keyring keys kg kill killed kills kilopascal kind kinds knee knew knock knocked know
knowing known knows label labelled labels laboratory lack lacks lacuna lag lags laid lamp lane lanes lang language large larger largest last lasted lasting
lasts late later latest latter lattice law laws lay layer layers layout layouts lays lead leaders leading leads leak leaked lean leaned leap learn learned
learning learnt least leave leaves leaving led ledger left leg legal legible legs length lengthen lengthens lengths less lesson lessons let lets letter letters
level levels li libraries library libsql licence licensed lid lie lies light lights like likelihood likely likeness limb limbs limit limited limits line linear
lines link linkage linked links lint list listed listen listened listeners listens lists lithotomy little live lives ln load loaded loading loads lobe local
locale located location lock locked locks log logarithm logarithms logit lognormal logs long longer longest look looked looking looks loopback loose loosen
loosened lose loses losing loss losses lost lot loud low lower lowered lowest lung lungs lying machine machines macros made mail main mainly maintain maintained
maintenance maize major majority make makes making makings man manage managed management manifest manner mantissa manual manually many mapping mappings margin margins
mark marked marker marking marks markup mask mass masses match matched matches matching mathematical matrix matter matters max maximal may maybe mcg md mean
meaning means meant meanwhile measure measured measurement measurements measures media median medians medical medication medications medicine meet meeting meets
megabytes member members memory meningitis mention mentioned mere merged message messages messy met meta metadata metaraminol meter meters method methods
methylene methylthioninium metric metrics mg mid middle midnight midpoint midranks might mild million millisecond milliseconds min mind minima minimum minor
minus minute minutes misleads misread miss missed misses missing misspelt mistake mistimed misunderstood mix mixed mixes mm mode model modelled moderate modes
modulation moment momentary moments monitor monitored monitoring monitors monoxide month monthly months morbidity more morning mortality most mostly motion
mouse mouth move moved movement movements moves moving ms much multiple multiples multiplied muscle must mute muted my myself nail nails name named names
namesake namespace narrow narrowings narrows nasal national native nature navigation ndjson near nearby nearest nearly necessary neck need needed needs negative
negatives negligible neighbour neighbouring neighbours neither nerve nested network never nevertheless new newer newest news next nicknames night nine nltk no
nobody node noindex noise nominal non noncentral none nor norepinephrine normal normally nose not notary note noted notes nothing notice noticed noticing nought
noughts now nowhere npm npsurv nth null nulls number numbered numbers numerator numeric numerous numpy nurse nurses nursing obese object objection observablehq
observation observations observe observed observer obstruct obstructed obstruction obtain obtained obvious obviously occasion occasional occasionally occluded
occludes occlusion occur occurred occurs odd of off offer offered offers office official offset offsets often ol old older on once one ones ongoing only onset
onsets onto opaque open opened opening opens operate operating operation operations opinion option optional options or oral order ordered orders ordinal
ordinary organisation origin original other others otherwise our ours ourselves out outcome outcomes outer outermost outline outlines outlive output outright
outside outweighs ovarian over overall overdispersed overdue overflow overlap overlapped overlaps overlooked overrule overruled overrules overwritten own owner
oximeter oximeters oximetry oxygen oxygenated oxygenation pace paced pack package packages packed pad padded padding pads page pages pain painted painter pair
paired pairs pale paler palm palpable palpated pan panel panning paper paperwork parabola paragraph paragraphs parallel paralysed parameter parameters parent
parked parquet parser part parted partial partially participate particular particularly parting partly parts pass passed passes passphrase password past path paths
patient patients pattern patterns pause paused pauses pct pdf pdfkit peak peaks peer pending pennon people per percent percentage percentile percentiles perfect
perfectly perform performed perfusion perhaps period periods peripheral peripherally permission permit permuted persistent person personal persons phase phases
phenylephrine phi phone phrase phrases physical physician pick picked picks picture pictures piece pieces piecewise pierced pile pillow pinch pinched pinned pipe
pipeline pixel pixels place placed placement places placing plain plainest plan planned planning plans planted plastic platform plausible play please pleth plot
plots plotting plus pmax pmin pneumoperitoneum point pointed pointer points pointwise poles policy polish polygon polyline pool pooled poor poorly port portrait
ports position positioned positioning positions positive possible possibly post potential power powers pp practice pre preamble prebuilt precede preceded
precedes preceding precision predicts prefer preferences preferred prefers prefix preload preoxygenation prep prepare prepared prepares prepping presence
present presented preset presets press pressed presses pressing pressor pressure pressures presumed pretended preterm prevalence prevent preventable prevented
prevention preview previous previously price primary prime print printed printing prints prior private privilege probability probable probably probe probes
problem problems procedure procedures proceed process processes produce product profile profound program programs progress project promise promised prompt
prompted promptly prone proof proper properly properties property proportion proposal proposals proposed proposes prose protect protected protection protects
protocol protocols prove proved proven proves provide provided provisional provoke pseudonym public publication publications published pull pulled pulsatile
pulsation pulse pulseless pulseoxymetry pulses pump pupil pupils pure purpose push pushed put puts putting px quadratic quality quantiles quantities quantity
quarter quarters quartile quartiles quellamine question questions queue queued quick quickly quiet quite quote quoted quotes radial raise raised raises raising
ran random rang range rank ranked ranking ranks rapid rapidly rar rare rarely rarer rate rater rates rather ratio ratios raw reach reached reaches reaching
reaction read readable reader readers reading readings readonly reads ready real realise realised really reason reasonable reasons reassure reassured recall
receive received receiver receives recent recently recognise recognised recognition recommend recommendation recommendations recommended recomputes reconnect
reconnected record recorded recorder recording recordings records recover recovered recovery rect rectangle red redirects redrawn reduce reduced reduction ref
refer reference references refers refilled refit reflect refuse refused refuses refuted regain regained regard region registering registrar registry regression
regret regular regularly rejected related relation relative release released relevant reliable relied relief reload rely remain remained remaining remains
remark remarks remedy remember remembered remembers remind reminded remote removal remove removed removes removing rename renamed rendering renewal renumbered
reorders repaired repeat repeated repeatedly repeating repeats replace replaced replacement replaces replacing replicate replicates replies reply report
reported reports reposition repositioned repositioning repository reproducible request requested requests require required resampled researcher resemble reset
resets resident resistance resize resized resolution resolve resolved resolves resource resources respelled respiratory respond responded response responses
responsible rest restate restated restless restoration restore restored restoring restricted rests result results resume resumed resuscitation retraction
retractor return returned returning returns reveal revealed revealing reveals revelations reverse review reviewed reviewer reviewers reviews revised rewritten
rhythm right rightly rights ring rise risen rises rising risk risks robot robotic robots robust robustness role roles roll rolldown rolled room rooms root rose
rotate rotated rotation round rounded rounding rounds route routine row rows rt rub rule rules run running runs runtime safe safely safety said salt same sample
sampled samples sampling sandbox sandwich sans sat satisfied saturation saturations save saved saves saving saw saxes say saying says scale scaled scales
scatter scenario scene scenes schedule scheduled schema schemas schematic scheme scipy scope scratch screen screens script scripts scrolls scrub scrubbed sd se seal
sealed seals search searched season seat second secondary secondly seconds secret section secure secured security see seed seeds seeing seem seemed seems seen
sees segment segments seldom select selected selection selections self semicolon send sender senders sends sense sensitivity sensor sensors sent sentence sequence
separate separated separators serial series serious seriously serve served server serves service services session set sets setting settings settle settled
settles settling seven several severe severity sha shaded shaft shake shaking shape shapes share shared shares she sheet sheets shelf shelves shift shifted
shifting shifts shiver shivered shivering short shorter shortest shortly should shoulder shoulders shouted show showed showing shown shows shunt shut side sides
sideways sight sign signal signals signature signed significance significant signing signs silence silenced silent silently similar simple simply simulated
simulation simulations simulator simultaneous since single sink sit site sites sits sitting situation situations six sixth size sizes skewed skill skin slack
slanted sleep sleeve slid slide slider slides slight slightly slip slipped slipping slot slow slowed slower slowly small smaller smallest smoothed snapshot
snapshots so social socket sockets soft software soiled solid solve solved some somebody someone something sometimes somewhat somewhere soon sooner sort sorted
sound sounded sounds source sources space spaced spacing span spans spares sparse speak speaks specialist specification specificity specified specimen speed
spelling spend spent spill spills split splitter spoke spontaneous spot spread spreads spreadsheet spreadsheets square squared squaring squeezed ss stabilised
stable staff staffing stage staged stages staging stamp stamps stand standard standards standing stands start started starting starts state stated statement
states static station statistic statistical statistician statistics stats statsmodels status statuses statute stay stayed stays steadily steadiness steady steep
steeply step steps stick still stolen stood stop stopped stopping stops storage store stored stores stories straight strange stranger strap strapped straps
strata stratified stratum stray stream streams street streets strength stress stretch stretches strict strictly string strip stroke strokes stroking strong
stronger structure stuck student studies study style styles sub subject subjects subsets substantial substitute subtitle success successful successfully such
suction sudden suddenly suffer sufficient suggest suggested suggestion suggests suitable sum summaries summary summed sums superfluous superseded supersedes
supervised supine supply support supported supposed sure surgeon surgeons surgery surgical surname surplus surprise surprised survival survive survives suspect
suspected suspicious sustained svg swallows swap swapped sweat swell swing swings switch switched switches switching symptom synonyms syringe system systemic
systems systolic tab table tables tabs tabular tachycardia tag tagged tags tail tails take taken takes taking talk talked tall taller tampering tape taped tar
target targets task taught tbody td teach teaching team teams technical technician technique telemetry telephone tell telling tells temperature temporary ten
tend tension tenth term terminal terminate terms test tested tests text texts th than thanks that the thead theatre theatres their theirs them theme themselves
then theory there therefore these they thick thin thing things think thinking thinned thinner thinning third thirds thirty this those though thought thousand
thousands thread threat three threshold thresholds through throughout throw thrown throws thumb tick ticks tidal tidied tied ties tight tighten tightened
tightly tilt tilted tilting time timeline timely times timing tip tired title titles titration tmp to today toe toes together token told tolerate tomorrow tone
tones too took tool top total totals touch touched tourniquet toward towards towns tr trace traces tracking trackpad trade trail trailer trails train trained
training transaction transducer transfer transferred transfused transfusion translate transmission transport trap trapezoid travel travels treat treated
treatment tree tremor trend trended trends trial trials triangle tried tries trigger triggered triggers triplet triplets trolley trouble troubleshoot true truly
trust trusted trusts truth try trying tsv tube tubing tuck tucked tucking turn turned turning turns twelve twenty twice two txt type typed types typical
typically ul ultrasound umask unable unaided unasked unblinded unbroken uncertain uncertainty unchanged unclear unclosed uncomfortable uncovered undated
undefined under understand understanding understood undetected undo undone unencrypted unequal uneventful unexpected unexplained unfortunately union unique unit
units unix unknown unless unlikely unlocked unlocking unlocks unmatched unnamed unnoticed unpack unpacked unpacks unplug unplugged unread unreadable unrelated
unreliable unremarked unrounded unsafe unseen unstable unstated unsteady untidy until unused unusual unzipper up update updated upload uploads upon upper
upright upset upstream urgent urine url us usable use used useful useless user uses using usual usually utf uw vaccination vague valid validation value values
valve vanishes variable variables variance variances variant variants variation varies various vary vascular vasoconstriction vasopressin vasopressor
vasopressors vectors vehicles vein veins venous ventilated ventilation ventilator verdict verdicts verified verify version versions vertical very veteran via
view viewed viewport violet visible vision visit visits visual vital void volume vomited wait waited waiting waits wake walk wall want wanted wants ward wards
warm warmed warmer warming warning warnings warns was wash washed washing wasn't watch watched watching wave waveform waveforms waves way ways we weak weaker
wear wears web week weeks weigh weighing weighs weight weighted weights well went were weren't wet what whatever wheel when whenever where whereas wherever
whether which whichever while white who whoever whole wholly whom whose why wide widen widened widening widens wider width will window windows winsorising wiped
wire wise wish with withdraw withdrawn withheld within without witness witnessed witnesses woke woman won't wondered word worded words wore work workbook
workbooks worked worker workers working works workstation worn worry worse worst worth would wouldn't wound wrap wrapped wrist wrists write writer writers
writes writing writings written wrong wrongly wrote xml xmlns xz yardstick yauzl year years yes yesterday yet ymd you young your yours yourself zero zeros zip
zlib zod zone zones zoom zooming zooms`;

/** Words that name nobody, in lower case. */
export const PLAIN_WORDS: ReadonlySet<string> = new Set(WORDS.trim().split(/\s+/));
