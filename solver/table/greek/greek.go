// Package greek holds the Greek letters by their English names, as trees, columns and sheets call them, and how names
// with them are taken apart and set for LaTeX. The formats of tables and all of expr set them; as the solver stands on
// nothing of expr, they stand here.
package greek

// A Letter is a Greek letter.
type Letter struct {
	Name   string // lambda, Lambda
	Letter rune
	// Command reports whether LaTeX has a command of that name; the other letters look like Latin ones.
	Command bool
}

// Letters lists the letters.
func Letters() []Letter { return letters }

var letters = []Letter{
	{"alpha", 'α', true}, {"beta", 'β', true}, {"gamma", 'γ', true}, {"delta", 'δ', true}, {"epsilon", 'ε', true},
	{"zeta", 'ζ', true}, {"eta", 'η', true}, {"theta", 'θ', true}, {"iota", 'ι', true}, {"kappa", 'κ', true},
	{"lambda", 'λ', true}, {"mu", 'μ', true}, {"nu", 'ν', true}, {"xi", 'ξ', true}, {"omicron", 'ο', false},
	{"pi", 'π', true}, {"rho", 'ρ', true}, {"sigma", 'σ', true}, {"tau", 'τ', true}, {"upsilon", 'υ', true},
	{"phi", 'φ', true}, {"chi", 'χ', true}, {"psi", 'ψ', true}, {"omega", 'ω', true},
	{"Alpha", 'Α', false}, {"Beta", 'Β', false}, {"Gamma", 'Γ', true}, {"Delta", 'Δ', true}, {"Epsilon", 'Ε', false},
	{"Zeta", 'Ζ', false}, {"Eta", 'Η', false}, {"Theta", 'Θ', true}, {"Iota", 'Ι', false}, {"Kappa", 'Κ', false},
	{"Lambda", 'Λ', true}, {"Mu", 'Μ', false}, {"Nu", 'Ν', false}, {"Xi", 'Ξ', true}, {"Omicron", 'Ο', false},
	{"Pi", 'Π', true}, {"Rho", 'Ρ', false}, {"Sigma", 'Σ', true}, {"Tau", 'Τ', false}, {"Upsilon", 'Υ', true},
	{"Phi", 'Φ', true}, {"Chi", 'Χ', false}, {"Psi", 'Ψ', true}, {"Omega", 'Ω', true},
}

var byName, byLetter = func() (map[string]Letter, map[rune]Letter) {
	names, runes := map[string]Letter{}, map[rune]Letter{}
	for _, l := range letters {
		names[l.Name], runes[l.Letter] = l, l
	}
	return names, runes
}()

// Of returns the letter of a name; ok is false where that is none's.
func Of(name string) (l Letter, ok bool) { l, ok = byName[name]; return l, ok }

// Named returns the letter that a character is.
func Named(r rune) (l Letter, ok bool) { l, ok = byLetter[r]; return l, ok }

// Has reports whether a name is that of a letter.
func Has(name string) bool { _, ok := byName[name]; return ok }

// LaTeX is the command for a letter, or "".
func (l Letter) LaTeX() string {
	if !l.Command {
		return ""
	}
	return `\` + l.Name
}
