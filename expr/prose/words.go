package prose

import (
	"strings"

	"nodespan/expr/function"
	"nodespan/solver/table/greek"
)

// set makes a set of the words of a list.
//
//go:noinline
func set(list string) map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(list) {
		m[w] = true
	}
	return m
}

// common are words that are hardly ever names: they may be short, and a lead-in may end with one.
var common = set(`
a an the of to in on at by as is it its be we us our my me so if or no do and are was were has have had can may will
let get got with where when then than that this
these those there here from for how what which who whose while into onto over under after before between about above
below please thanks thank dear hi hello hey
regards cheers best kind yours all any each both some one two three four five give given pt pts marks find solve consider suppose
assume assuming take using use used
with satisfies satisfy satisfying obeys reads holds hold becomes gives get yields yield have such s.t. subject
together along also plus write set
namely i.e. e.g. say denote denotes called means equation equations eq eqn eqns ode odes bvp problem problems system
task exercise question homework
dgl dgln edo rwp rwa gde boundary condition conditions bc bcs constraint constraints value values data parameters parameter numbers constants
coefficients coefficient
domain interval region range unknown unknowns function functions solution governing model following statement where
data known
left right top bottom inner outer end ends side wall tip base root surface centre center middle upper lower start
initial final inlet outlet
bounded finite regular symmetric note hence thus therefore because since respectively
ja ich wir du sie er es der die das den dem des ein eine einer eines einem ist sind sei seien und oder mit für fur
bei auf aus von vom zu zum zur im in an am
wobei worin gesucht gegeben gilt gelten löse löst lösen betrachte betrachten gleichung differentialgleichung
randbedingung randbedingungen randwerte
randwertproblem aufgabe lösung sowie dabei hier wo wie parameter konstanten werte hallo liebe lieber grüße gruß danke
bitte
le la les un une des du de et ou où avec sur pour dans par est sont soit soient on nous il elle équation équations
condition conditions limite limites bord
résoudre trouver telle tel que considère considérons problème donné données bonjour merci aux au en
el los las una unos unas del y con para por es son sea sean donde resolver encontrar hallar ecuación ecuaciones
condiciones condición contorno frontera
problema datos hola gracias resuelve resuelva resuélvase calcule calcula halle determine encuentre résolvez
calculez trouvez déterminez bestimme bestimmen finde finden vérifie vérifiant satisfait satisfaisant
verifica cumple satisface erfüllt genügt soddisfa si consideri consideriamo sia siano nel nella risolvere risolvi trovare calcolare solving compute calculate
determine siendo valores dado dada considere considerar sujeta sujeto
`)

// asides are the words that words behind a statement may begin with.
var asides = set(`by because since which as from due thanks assuming after here say namely is are holds applies
follows and where with using see cf gives yields
durch wegen da par car por ya follows`)

// changing are words that may change what the mathematics beside them says.
var changing = set(`
most least maybe perhaps possibly but instead again same except twice double doubled halve halved reversed reverse
opposite swapped
replace replaced replaces unless otherwise else
elsewhere not never neither nor either or without versus case cases alternatively alternative change changed changes
only periodic if no until shouldn't isn't wasn't shouldn’t isn’t wasn’t
aber sondern statt stattdessen nicht oder sonst außer ohne fall mais sinon sans ou pas non cas pero sino no caso
salvo excepto
`)

// places are words that restrict an equation or a number to a part of the interval, or tell one case from another.
var places = set(`left right half halves part parts side inside outside within first second third last upper lower
middle near beyond inner outer
one other another part quarter above below between per percent degrees beginning
innen außen links rechts oben unten linken rechten linke rechte hälfte teil ersten zweiten gauche droite moitié partie izquierda derecha mitad
`)

// modifiers make a remark without a formula doubtful where it speaks of a number or of the mathematics of the sheet.
var modifiers = set(`
change changed flip flipped reverse replace swap squared cubed inverted negated instead except twice double doubled
halve halved reversed swapped replaced unless otherwise elsewhere triple tripled scale multiply divide negate minus omit ignore
drop remove multiplied divided negated increase decrease reduce
opposite but only again same vanish vanishes negative scaled
statt sondern nur mais seulement pero solo`)

// imperative are words that tell to leave something of the sheet out; formerly are those of a value that no longer
// holds.
var (
	imperative = set(`neglect ignore omit drop skip cancel disregard use try repeat rerun`)
	resetting  = set(`take use set choose put insert`)
	reset      = set(`coefficient coefficients factor factors load loads source sign term terms condition conditions`)
	formerly   = set(`was were formerly previously originally`)
)

// ordinals count what is no part of the interval where one of counted follows: the first three eigenvalues.
var (
	ordinals = set(`first second third last upper lower other another`)
	counted  = set(`eigenvalue eigenvalues mode modes order kind root roots frequency frequencies eigenfrequencies
eigenmode eigenmodes equation problem exercise question example task state states level levels energies energy`)
)

// measured are nouns that a word of place stands before without speaking of a part of the interval.
var measured = set(`radius radii diameter temperature thickness length width height depth pressure concentration
potential voltage`)

// subjects are words for what a sheet is made of; a modifier beside one of them is doubtful.
var subjects = set(`
sign half side end ends condition conditions coefficient coefficients load loads source sources term terms value
values flux left right equation boundary slope derivative exponent interval length domain
`)

// told are words that say something about an unknown without a formula; package sheet reads or refuses them.
var told = set(`bounded finite regular even odd symmetric antisymmetric periodic beschränkt endlich symmetrisch
regulär gerade ungerade borné bornée fini finie symétrique acotado acotada
finito finita simétrica simétrico limited unbounded singular`)

// allOf and endWords are the words of "at both ends", wholes those of "on the boundary".
var (
	allOf    = set(`at on an auf am aux au sur en bei sul`)
	endWords = set(`endpoints ends sides walls edges boundaries boundary faces surfaces supports enden rändern rand
wänden extrémités bords bord extremos bordes borde frontera contorno bordo`)
	wholes = set(`boundary rand bord borde frontera contorno bordo`) // all of them together
)

// origin are words for the point 0.
var origin = set(`origin centre center axis mittelpunkt ursprung achse centro origen eje`)

// cases are words of a label that tells one problem from another; pointing are those before a point.
var (
	cases    = set(`case cases fall cas caso if or not`)
	pointing = set(`at as about around when`)
	every    = set(`both all each two beiden deux ambos the den les los`)
	single   = set(`left right linken rechten upper lower top bottom`)
)

// asking begin a clause that asks for a number.
var asking = set(`find determine compute calculate report evaluate obtain what seek sought wanted unknown`)

// joining are words of other languages that join statements, with those of the notation.
var joining = map[string]string{
	"mit": "with", "avec": "with", "con": "with", "wobei": "where", "worin": "where", "où": "where", "donde": "where",
	"für": "for", "pour": "for", "para": "for",
	"und": "and", "y": "and", "et": "and", "sowie": "and", "bei": "at", "auf": "on", "sur": "on", "nahe": "near",
}

// keywords are words of the notation that stand among mathematics as well as among words.
var keywords = set(`with where and for on in at near when as if over through`)

// reserved are words that the notation gives a meaning: they are no words of prose where mathematics follows.
var reserved = set(`exact guess break report`)

// functions are names that are read as mathematics: the functions but if, which is a word too, the Greek letters, and
// some more.
var functions = func() map[string]bool {
	names := set(`mean integral largest smallest zero inf infinity Inf Infinity pi lim diff int varepsilon vartheta
		varphi`)
	for _, f := range function.All() {
		if f.Name == "if" || f.Derived {
			continue
		}
		names[f.Name] = true
		for _, a := range f.Aliases {
			names[a] = true
		}
	}
	for _, l := range greek.Letters() {
		names[l.Name] = true
	}
	return names
}()
