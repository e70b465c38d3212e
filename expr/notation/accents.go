package notation

import "fmt"

// Letters with something above them: ẋ, ü, \bar u, \ddot{\theta}. A dot is a derivative where the letter also stands
// without it (see settleDots), and part of the name elsewhere, as in q̇ for a source; the other accents are part of the
// name.

// ligatures gives the letters that a typesetter drew as one.
var ligatures = map[rune]string{'ﬀ': "ff", 'ﬁ': "fi", 'ﬂ': "fl", 'ﬃ': "ffi", 'ﬄ': "ffl", 'ﬅ': "st", 'ﬆ': "st"}

// combining gives the accents that follow their letter as a character of their own.
var combining = map[rune]string{
	0x0307: "dot", 0x0308: "ddot", 0x20DB: "dddot", 0x0304: "bar", 0x0305: "bar", 0x0302: "hat", 0x0303: "tilde",
}

// accentCommand gives the accents that LaTeX commands put over their argument.
var accentCommand = map[string]string{
	"dot": "dot", "ddot": "ddot", "dddot": "dddot", "bar": "bar", "overline": "bar", "hat": "hat", "widehat": "hat",
	"tilde": "tilde", "widetilde": "tilde",
}

// dots counts the derivatives that an accent stands for.
var dots = map[string]int{"dot": 1, "ddot": 2, "dddot": 3}

// accented takes letters with their accent apart: the plain letter, and the combining form of the accent.
var accented = func() map[rune][2]rune {
	m := map[rune][2]rune{}
	for accent, pairs := range map[rune]string{
		0x0307: "aȧbḃcċdḋeėfḟgġhḣmṁnṅoȯpṗrṙsṡtṫwẇxẋyẏzżAȦBḂCĊDḊEĖFḞGĠHḢMṀNṄOȮPṖRṘSṠTṪWẆXẊYẎZŻ",
		0x0308: "aäeëhḧiïoötẗuüwẅxẍyÿAÄEËOÖUÜXẌ",
		0x0304: "aāeēgḡiīoōuūyȳAĀEĒGḠIĪOŌUŪYȲ",
		0x0302: "aâcĉeêgĝhĥiîjĵoôsŝuûwŵyŷzẑAÂCĈEÊGĜHĤOÔSŜUÛWŴYŶZẐ",
		0x0303: "aãeẽiĩnñoõuũvṽyỹAÃEẼNÑOÕUŨVṼYỸ",
	} {
		letters := []rune(pairs)
		for i := 0; i+1 < len(letters); i += 2 {
			m[letters[i+1]] = [2]rune{letters[i], accent}
		}
	}
	return m
}()

// spelled holds the accented letters that words are spelled with: beside another letter they are no mathematics.
const spelled = "äëïöüÿÄËÖÜāēīōūĀĒĪŌŪâêîôûÂÊÔÛĉĝĥĵŝŵŷãẽĩñõũÃÑÕċėġżĊĖĠŻ"

// accented reads a letter that carries its accent.
func (l *lexer) accented(parts [2]rune) {
	from := l.pos
	_, size := l.rune(from.Offset)
	whole := l.text[from.Offset : from.Offset+size]
	t := l.before()
	closed := t.Kind == NameToken && !l.space && t.Sp.To == from.Offset
	l.advance(1)
	if word := letter(l.cur()) || accented[l.cur()] != [2]rune{} || closed; word {
		for _, r := range spelled {
			if string(r) == whole {
				l.refuse(r, from)
				return
			}
		}
	}
	l.emitAccented(string(parts[0]), combining[parts[1]], from)
}

// accent reads a combining accent at the place, "" if there is none.
func (l *lexer) accent() string {
	accent := combining[l.cur()]
	if accent != "" {
		l.advance(1)
	}
	return accent
}

// emitAccented emits a letter with its accent and its subscript.
func (l *lexer) emitAccented(base, accent string, from Pos) {
	for digit(l.cur()) {
		base += string(l.cur())
		l.advance(1)
	}
	l.emitOver(base, accent, l.subscript(), from)
}

func (l *lexer) emitOver(base, accent, subscript string, from Pos) {
	if dots[accent] == 0 {
		l.emit(NameToken, base+accent+subscript, from)
		return
	}
	l.emit(NameToken, base+subscript, from)
	l.toks[len(l.toks)-1].over = base + accent + subscript
}

// accentCommand reads what an accent stands over: a letter, or a name in braces.
func (l *lexer) accentCommand(name string, from Pos) {
	save := l.pos
	l.skipSpace()
	braced := l.cur() == '{'
	if braced {
		l.advance(1)
		l.skipSpace()
	}
	base := ""
	switch r := l.cur(); {
	case r == '\\':
		command := l.commandName()
		if base = commandGreek(command); base == "" && command == "ell" {
			base = "l"
		}
		l.advance(1 + len(command))
	case greek[r] != "":
		base = greek[r]
		l.advance(1)
	default:
		for letter(l.cur()) && (braced || base == "") {
			base += string(l.cur())
			l.advance(1)
		}
	}
	subscript := ""
	if braced {
		subscript = l.subscript()
		l.skipSpace()
	}
	if base == "" || braced && l.cur() != '}' {
		l.pos = save
		l.fault(from, fmt.Sprintf("what stands under “\\%s” is not one letter", name),
			"write y' for a derivative, and a plain name for anything else")
		return
	}
	if braced {
		l.advance(1)
	}
	if subscript == "" {
		subscript = l.subscript()
	}
	l.emitOver(base, accentCommand[name], subscript, from)
}
