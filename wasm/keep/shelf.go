package keep

import (
	"sort"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Storage is strings by their keys, as browsers have them. Every operation may be refused.
type Storage interface {
	Keys() ([]string, error)
	Get(key string) (value string, found bool, err error)
	Set(key, value string) error
	Remove(key string) error
}

// Keys of the storage. Pages from disk may share one storage with others, so all begin alike.
const (
	LastKey = "nodespan.last"   // the last edited desk, of whatever tab
	prefix  = "nodespan.sheet." // before the names of sheets
)

// Shelf is the sheets that are kept by name, each under a key of its own, so that two tabs do not lose each other's.
type Shelf struct{ Storage Storage }

// Names lists the sheets, in alphabetical order.
func (s Shelf) Names() ([]string, error) {
	keys, err := s.Storage.Keys()
	var names []string
	for _, k := range keys {
		if name, ours := strings.CutPrefix(k, prefix); ours && Name(name) == name && name != "" {
			names = append(names, name)
		}
	}
	sort.Slice(names, func(i, j int) bool {
		a, b := strings.ToLower(names[i]), strings.ToLower(names[j])
		return a < b || a == b && names[i] < names[j]
	})
	return names, err
}

// Get returns a sheet, and whether there is one of this name that can be read.
func (s Shelf) Get(name string) (Desk, bool, error) {
	text, found, err := s.Storage.Get(prefix + name)
	if err != nil || !found {
		return Desk{}, false, err
	}
	d, err := ReadDesk(text)
	return d, err == nil, err
}

// Put keeps a sheet under a name, in the place of another of that name.
func (s Shelf) Put(name string, d Desk) error {
	d.Before = nil
	return s.Storage.Set(prefix+name, d.Text())
}

// Remove takes a sheet away.
func (s Shelf) Remove(name string) error { return s.Storage.Remove(prefix + name) }

// Add keeps a sheet under a name that is free: this one, or one with a number behind it. The same sheet is not kept
// twice. It returns the name.
func (s Shelf) Add(name string, d Desk) (string, error) {
	for n, as := 1, name; ; n++ {
		if n > 1 {
			as = name + " (" + strconv.Itoa(n) + ")"
		}
		old, found, err := s.Get(as)
		switch {
		case err != nil && err != ErrDamaged:
			return "", err
		case found && old.Sheet == d.Sheet && old.Method == d.Method:
			return as, nil
		case !found && err == nil:
			return as, s.Put(as, d)
		}
	}
}

// mostName bounds a name, in characters.
const mostName = 80

// Name makes a name of what was typed: one line without anything that a marker between sheets of a file has.
func Name(typed string) string {
	name := strings.Map(func(r rune) rune {
		if r == utf8.RuneError || unicode.IsControl(r) {
			return ' '
		}
		return r
	}, typed)
	for strings.Contains(name, "==") {
		name = strings.ReplaceAll(name, "==", "=")
	}
	name = strings.Join(strings.Fields(name), " ")
	if r := []rune(name); len(r) > mostName {
		name = strings.TrimSpace(string(r[:mostName]))
	}
	return name
}

// Suggested is a name for a sheet that has none: its first line with words on it.
func Suggested(sheet string) string {
	for line := range strings.Lines(sheet) {
		if name := Name(strings.Trim(line, "# \t\r\n.")); name != "" {
			return name
		}
	}
	return ""
}
