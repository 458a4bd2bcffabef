import { KNOWN_WORDS } from '../terms/known-words.ts';
import { foldText } from '../terms/fold-text.ts';

/*
 * Words by which names of persons are known in free text. Common practice without source, from memory: frequent given names in
 * English, German, French, Spanish and Italian speaking countries, frequent surnames, and words that stand after a title or at
 * the head of a sentence and are no names. Left out on purpose: given names that are also words of a record or of everyday
 * language (Mark, Will, May, Rose, Grace, Max, Ray, Jan, Art, Frank, Iris, Ernst), and names that instruments, tests and
 * positions bear (Allen, Thomas, Simon, Robert, Martin, Victor).
 */

const GIVEN = `
aaron abigail adam adele agnes ahmed aidan aisha alain alan albert alberto alejandra alejandro alessandra alessandro alessia alexander alexandra
alfred alfredo alice alicia alison alyssa amanda amelia amelie amina amira amy ana anastasia andre andrea andreas andrew andrzej angela
angelika angelina anita anja anke anna annabel annalena anne anneliese annette annika antje antoine anton antonella antonia antonio
arianna arthur astrid audrey axel barbara bastian beate beatrice beatrix benedikt benjamin bernadette bernard bernd bernhard bettina bianca birgit
birgitte bjorn bogdan boris brandon brenda brian bridget brigitte bruno camille carina carl carla carlo carlos carmen carol carole caroline carsten
catherine catarina cecilia celine charles charlotte chantal chiara chloe chris christa christel christian christiane christina christine christoph
christopher claire clara claude claudia claudio claus clement clemens colin connor corinna corinne cornelia craig cristina cynthia dagmar
damien daniel daniela daniele danielle danuta david davide deborah debra denis denise dennis derek detlef diana diane diego dieter dietmar dirk
dmitri dolores dominic dominik dominique donald donna doreen doris dorothea dorothy douglas dylan eberhard edith eduardo edward edwin eileen
elaine eleanor elena eleonora elfriede elias elisa elisabeth elizabeth elke ella ellen elsa emil emilia emilie emily emma emmanuel enrico enrique
erich erik erika ernesto erwin esther ethan eugen eugene eva evelyn fabian fabien fabio fabrice fatima federica federico felicia felicity
fernando fiona flavia florence florian francesca francesco francis francisco francois francoise franz franziska frederic frederick friedrich
friederike fritz gabriel gabriela gabriele gabriella gareth gary gavin geoffrey georg george georgia georgina gerald geraldine gerard gerda gerhard
gerlinde gernot gertrud gilbert gillian gina gino giorgia giorgio giovanna giovanni gisela giulia giuliana giulio giuseppe gloria gordon graham
gregor gregory greta gudrun guido guillaume guillermo gunter gunther gustav hannah hanna hannelore hannes hans harald harold harriet
harry hartmut hassan hedwig heidi heike heiko heiner heinrich heinz helen helena helene helga helmut hendrik henri henrik henry herbert
herman hermann hilda hilde hildegard holger howard hubert hugo ian ibrahim ida ignacio igor ilona ilse ines inga inge ingeborg ingo ingrid irene
irina irma irmgard isaac isabel isabella isabelle ivan jacob jacqueline jacques jaime jakob james jamie jana jane janet janice janine jasmin jason
javier jean jeanette jeanne jeffrey jens jennifer jenny jeremy jerome jessica jill joachim joan joanna joanne joao jochen johan johann johanna
johannes john jonas jonathan jorg jorge jose josef josefine joseph josephine joshua josie juan juana juanita judith julia julian juliana julie juliette
julien jurgen justin justine jutta karen karin karl karla karoline karsten katarina katarzyna kate katharina katherine kathleen kathrin kathryn katja
katrin kay keith kelly kenneth kerstin kevin khadija kimberly kirsten klaus konrad konstantin kristin kristina krzysztof kurt lara larissa larry
lars laszlo laura lauren laurence laurent lea leah leila lena leon leonard leonardo leonie leopold leslie lidia liam liliana lina linda lisa lisbeth lorenzo lothar louis louisa
louise luc luca lucas lucia luciano lucie lucy ludwig luigi luis luisa luise lukas lutz lydia lynn magdalena malte manfred manuel manuela marc marcel
marcelo marco marcus margaret margarete margarita margherita margit margot margrit maria mariana marianne marie marina mario marion marisa
marjorie markus marlene marlies marta martha martina mary mathias mathieu mathilde matilda matteo matthew matthias maureen maurice mauro
maximilian megan mehmet melanie melissa mercedes michael michaela michel michele michelle miguel mikhail milena mildred mirjam miriam mohamed mohammed
monica monika monique moritz muhammad nadia nadine nadja naomi natalia natalie natasha nathalie nathan nathaniel nicholas nicola nicolas nicole niels
niklas nils nina nora norbert nuria odile olaf oleg olga oliver olivia olivier oscar oskar otto pablo pamela paola paolo pascal patricia patricio patrick
paul paula pauline pavel pedro peggy peter petra philip philipp philippa philippe phyllis pierre pietro piotr priscilla rachel rafael raffaele rainer ralf ralph ramon ramona
raphael raquel rebecca regina reinhard reinhold renata renate rene ricarda riccardo ricardo richard rita roberta roberto rodrigo roger roland rolf
romina ronald rosa rosalie rosanna rosemarie rosemary rosina rosita rudolf rudiger rupert ruth ryan sabine sabrina salvador salvatore samantha samuel sandra
sara sarah sascha sebastian sergio severin sharon sheila sheryl shirley sibylle siegfried siegrid sigrid silke silvia silvio simone sofia sonia sonja sophia
sophie stefan stefania stefanie stefano steffen stella stephan stephane stephanie stephen steven stewart stuart susan susanna susanne suzanne svein sven svenja
svetlana sylvain sylvia sylvie tamara tanja tatiana tatjana teresa teresita terence theodor theresa therese theresia thierry thorsten tiffany tilman timothy tina
tobias torsten tracy ulrich ulrike ulf umberto ursula ute uwe valentina valeria valerie vanessa vera veronica veronika veronique vincent vincenzo virginia virginie
vittoria vivian viviana vladimir volker waldemar walter waltraud wendy werner wilfried wilhelm willi william winfried wladimir wolfgang xavier yannick yasmin
yolanda yusuf yves yvette yvonne zachary zoe`;

const SURNAMES = `
smith jones williams taylor davies evans thomas johnson roberts walker wright robinson thompson hughes edwards wilson clarke harris lewis clark patel
jackson turner phillips parker morris campbell mitchell anderson allen bailey richardson murphy miller davis martinez hernandez lopez gonzalez
garcia rodriguez perez sanchez ramirez torres flores rivera gomez diaz reyes morales ortiz gutierrez ruiz alvarez fernandez moreno jimenez brown
muller mueller schmidt schneider fischer meyer weber wagner becker schulz schulze hoffmann hofmann schafer schaefer koch bauer richter klein wolf
schroder schroeder neumann schwarz zimmermann braun kruger krueger hartmann lange schmitt werner schmitz krause meier maier lehmann schmid
kohler koehler herrmann konig koenig walter mayer huber kaiser fuchs peters lang scholz moller moeller weiss jung hahn schubert vogel friedrich
keller gunther guenther frank berger winkler roth beck lorenz baumann franke albrecht schuster simon ludwig bohm boehm winter kraus
martin bernard dubois petit durand leroy moreau laurent lefebvre michel bertrand roux vincent fournier morel girard dupont dupuis lambert
bonnet francois mercier blanc guerin boyer garnier chevalier rossi russo ferrari esposito bianchi romano colombo ricci marino greco bruno gallo
conti mancini costa giordano rizzo lombardi moretti nguyen tran kim lee singh khan ali hussain ahmed begum kaur shah brien neill connor
macdonald mcdonald campbell stewart fraser murray grant hamilton graham johnston kennedy`;

/** Words that may follow a title, a role or a given name and are no names. */
const NO_NAMES = `
called informed present notified aware bleeped paged arrived asked asking requested requests scrubbed leaving left right arrives attending attended
the and for from with without was were has had have will not no yes into onto out off over under after before during until since when while there then
in at on of to by as is it be or an if up so we he she they patient theatre room table anaesthetist anesthetist anesthesiologist anaesthesiologist surgeon nurse
surgery anaesthesia anesthesia assistant registrar consultant resident fellow student team doctor case time start end ready draped prepped positioned induction
und oder mit ohne bei beim vom zum zur auf aus nach vor der die das den dem ist war hat wird nicht kein keine informiert gerufen angerufen anwesend verstandigt
kommt geht visite dienst hintergrund ruckruf arzt arztin operateur anasthesie anasthesist anasthesistin chirurg chirurgin patientin pflege schwester pfleger beginn ende
est sont dans avec sans pour par sur appele informe present anesthesiste chirurgien medecin patiente infirmiere
llamado informado presente anestesista cirujano paciente enfermera con sin para por
monday tuesday wednesday thursday friday saturday sunday january february march april may june july august september october november december
montag dienstag mittwoch donnerstag freitag samstag sonntag januar februar marz mai juni juli oktober dezember
trends trend drugs drug events event notes note data export report record records log list vitals monitor numerics waveform medication medications case cases file new old copy final
general hospital kelpmouth`;

function setOf(text: string): ReadonlySet<string> {
  return new Set(text.split(/\s+/).filter((word) => word !== ''));
}

const GIVEN_NAMES = setOf(GIVEN);
const SURNAME_WORDS = setOf(SURNAMES);
const NEVER = setOf(NO_NAMES);

/** Returns whether a word is a frequent given name. Case and accents do not matter. */
export function isGivenName(word: string): boolean {
  return GIVEN_NAMES.has(foldText(word));
}

/** Returns whether a word is a frequent given name or surname. */
export function isFrequentName(word: string): boolean {
  const folded = foldText(word).replace(/^(?:o'|mc|mac)(?=[a-z]{4})/, '');
  return GIVEN_NAMES.has(folded) || SURNAME_WORDS.has(folded);
}

/** Returns whether a word could be part of a name: letters only, no word of the trade and none that stands beside names. */
export function mayBeName(word: string): boolean {
  const folded = foldText(word);
  return folded.length >= 2 && !NEVER.has(folded) && !KNOWN_WORDS.has(folded) && !/\d/.test(folded);
}

/** Returns whether a word stands beside names but is none ("called", "theatre"). A word of the trade may still be a surname behind a title. */
export function isNoName(word: string): boolean {
  return NEVER.has(foldText(word));
}
