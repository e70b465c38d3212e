package notation

import (
	"fmt"

	letters "nodespan/solver/table/greek"
)

// greek gives the names of the Greek letters, and of their variants.
var greek = func() map[rune]string {
	names := map[rune]string{
		'ς': "sigma", 'ϵ': "epsilon", 'ϑ': "theta", 'ϰ': "kappa", 'ϕ': "phi", 'ϱ': "rho", 'ϖ': "pi",
		0xB5:   "mu",    // the micro sign
		0x2206: "Delta", // the increment sign
		0x2126: "Omega", // the ohm sign
	}
	for _, l := range letters.Letters() {
		names[l.Letter] = l.Name
	}
	return names
}()

// Greek reports whether a name is that of a Greek letter.
func Greek(name string) bool { return letters.Has(name) }

// single maps characters to the one plain character that they stand for.
var single = map[rune]rune{
	'−': '-', '–': '-', '‐': '-', '‑': '-', '‒': '-', '﹣': '-',
	'·': '*', '⋅': '*', '∙': '*', '•': '*', '×': '*', '∗': '*', '⨯': '*', '✕': '*',
	0x2062: '*', // invisible times
	'÷':    '/', '∕': '/', '⁄': '/',
	'∣': '|', '│': '|', '❘': '|',
	'′': '\'', '’': '\'', '‘': '\'', 'ʹ': '\'', 'ʼ': '\'', '´': '\'',
	'″': '"', '“': '"', '”': '"', 'ʺ': '"',
	'ℎ': 'h', 'ℓ': 'l', 'ⅆ': 'd', 'ⅇ': 'e', 'ı': 'i',
	'、': ',', '；': ';',
}

// superscripts and subscripts map raised and lowered characters to plain ones.
var (
	superscripts = map[rune]rune{
		'⁰': '0', '¹': '1', '²': '2', '³': '3', '⁴': '4', '⁵': '5', '⁶': '6', '⁷': '7', '⁸': '8', '⁹': '9',
		'⁺': '+', '⁻': '-', '⁽': '(', '⁾': ')',
		'ⁿ': 'n', 'ⁱ': 'i', 'ˣ': 'x', 'ʸ': 'y', 'ᶻ': 'z', 'ʳ': 'r', 'ˢ': 's', 'ᵗ': 't', 'ᵃ': 'a', 'ᵇ': 'b', 'ᶜ': 'c',
		'ᵈ': 'd', 'ᵉ': 'e', 'ᵏ': 'k', 'ˡ': 'l', 'ᵐ': 'm', 'ᵒ': 'o', 'ᵖ': 'p', 'ᵘ': 'u', 'ᵛ': 'v', 'ʷ': 'w', 'ʰ': 'h',
		'ʲ': 'j', 'ᵍ': 'g',
		'ᴵ': 'I', 'ⱽ': 'V', 'ᵝ': 'β', 'ᵞ': 'γ', 'ᵟ': 'δ', 'ᶿ': 'θ', 'ᵠ': 'φ', 'ᵡ': 'χ',
	}
	subscripts = map[rune]rune{
		'₋': '-', '₊': '+', '₀': '0', '₁': '1', '₂': '2', '₃': '3', '₄': '4', '₅': '5', '₆': '6', '₇': '7', '₈': '8',
		'₉': '9',
		'ₐ': 'a', 'ₑ': 'e', 'ₒ': 'o', 'ₓ': 'x', 'ₕ': 'h', 'ₖ': 'k', 'ₗ': 'l', 'ₘ': 'm', 'ₙ': 'n', 'ₚ': 'p', 'ₛ': 's',
		'ₜ': 't',
		'ᵢ': 'i', 'ⱼ': 'j', 'ᵣ': 'r', 'ᵤ': 'u', 'ᵥ': 'v', 'ᵦ': 'β', 'ᵧ': 'γ', 'ᵨ': 'ρ', 'ᵩ': 'φ', 'ᵪ': 'χ',
	}
)

// fractions gives the two numbers of a fraction written as one character.
var fractions = map[rune][2]string{
	'½': {"1", "2"}, '⅓': {"1", "3"}, '⅔': {"2", "3"}, '¼': {"1", "4"}, '¾': {"3", "4"}, '⅕': {"1", "5"},
	'⅖': {"2", "5"},
	'⅗': {"3", "5"}, '⅘': {"4", "5"}, '⅙': {"1", "6"}, '⅚': {"5", "6"}, '⅛': {"1", "8"}, '⅜': {"3", "8"},
	'⅝': {"5", "8"}, '⅞': {"7", "8"},
}

// plain returns the plain character that r stands for, or r itself.
func plain(r rune) rune {
	if r < 0x80 {
		return r
	}
	if p, ok := single[r]; ok {
		return p
	}
	switch {
	case 0xFF01 <= r && r <= 0xFF5E: // full-width forms of ASCII
		return r - 0xFF01 + '!'
	case 0x1D400 <= r && r <= 0x1D6A3: // mathematical alphabets: thirteen styles of A…Z, a…z
		if i := (r - 0x1D400) % 52; i < 26 {
			return 'A' + i
		} else {
			return 'a' + i - 26
		}
	case 0x1D6A8 <= r && r <= 0x1D7CB: // mathematical Greek: five styles of 58 letters
		const letters = "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΘΣΤΥΦΧΨΩ∇αβγδεζηθικλμνξοπρςστυφχψω∂ϵϑϰϕϱϖ"
		return []rune(letters)[(r-0x1D6A8)%58]
	case 0x1D7CE <= r && r <= 0x1D7FF: // mathematical digits: five styles
		return '0' + (r-0x1D7CE)%10
	}
	return r
}

// white reports whether r is a space within a line.
func white(r rune) bool {
	switch r {
	case ' ', '\t', '\v', '\f', 0xA0, 0x202F, 0x205F, 0x3000, 0x2061:
		return true
	}
	return 0x2000 <= r && r <= 0x200A
}

// invisible reports whether r has no width and no meaning: zero-width spaces, direction marks, variation selectors.
func invisible(r rune) bool {
	return 0x200B <= r && r <= 0x200F || 0x202A <= r && r <= 0x202E || r == 0x2060 || r == 0xFEFF || r == 0xFE0E ||
		r == 0xFE0F
}

// alike names plain characters that others are easily taken for.
var alike = map[rune]string{
	'а': "a", 'в': "B", 'е': "e", 'к': "k", 'м': "M", 'н': "H", 'о': "o", 'р': "p", 'с': "c", 'т': "T", 'у': "y",
	'х': "x", 'і': "i", 'ѕ': "s", 'ј': "j",
	'А': "A", 'В': "B", 'Е': "E", 'К': "K", 'М': "M", 'Н': "H", 'О': "O", 'Р': "P", 'С': "C", 'Т': "T", 'У': "Y",
	'Х': "X", 'І': "I", 'Ѕ': "S", 'Ј': "J",
	'—': "-", '―': "-", 0xAD: "-", '‗': "_", '˜': "-", '~': "-", '`': "'", '‵': "'", '‚': ",", '„': ",", '⟨': "(",
	'⟩': ")", '〈': "(", '〉': ")", '【': "[", '】': "]",
	'❨': "(", '❩': ")", '﹙': "(", '﹚': ")", 'ˆ': "^", '⌃': "^", '∶': ":", '꞉': ":", 'ǀ': "|", '¦': "|", '⩵': "=",
	'═': "=", '㎡': "m^2", '∘': "*", '∧': "^", '⁎': "*", '✳': "*",
}

// unreadSign says why a character is not read, and what to write.
func unreadSign(r rune) (msg, hint string) {
	if p, ok := alike[r]; ok {
		return fmt.Sprintf("“%c” (U+%04X) looks like “%s” but is another character", r, r, p),
			fmt.Sprintf("write “%s”", p)
	}
	switch r {
	case '∇':
		return "“∇” is not read", "write the derivatives in the one variable, as in d/dr(r^2 dc/dr)/r^2"
	case '°':
		return "“°” is not read", "write angles in radians, and temperatures without their unit"
	case '±', '∓':
		return fmt.Sprintf("“%c” states two things at once", r), "choose one sign"
	case '≠':
		return "“≠” is not read", "leave out what is merely excluded"
	case '≈', '≃', '≅', '∼':
		return fmt.Sprintf("“%c” is not read", r), "write =, or name = ? near value for a number to be found"
	case '…':
		return "“…” leaves something out", "write every term"
	case '%':
		return "“%” is not read", "write 0.05 for 5 %; a comment starts with #"
	case '!':
		return "“!” is not read", "write gamma(n + 1) for the factorial of n"
	case '_':
		return "a subscript needs a name before it", "write T_s"
	case '.':
		return "a full stop stands in the middle", "write * for a product, and a decimal point between digits"
	case ':':
		return "“:” is not read", "separate statements by a new line, a comma or a semicolon"
	case '&':
		return "“&” is not read here", "separate statements by a new line, a comma or a semicolon"
	}
	if r < ' ' || r == 0x7F || r == 0xFFFD {
		return fmt.Sprintf("the character U+%04X is not read", r), "delete it"
	}
	if r < 0x80 {
		return fmt.Sprintf("“%c” is not read", r), "delete it or write what it stands for"
	}
	return fmt.Sprintf("“%c” (U+%04X) is not read", r, r), "write it with plain letters and signs"
}
