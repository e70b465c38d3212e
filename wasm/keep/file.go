package keep

import (
	"strings"

	"nodespan/wasm/link"
	"nodespan/wasm/wire"
)

// Sheets as plain text. A file may hold several, each below a line that is a comment to the reader of sheets:
//
//	# == the fin == method=one nodes=7
//	T'' = m^2 (T - 20)
//	…
//	# == the joist ==
//	…
//
// A line of a sheet that looks like such a marker has one more "#" in the file.

// Kept is a sheet with its name.
type Kept struct {
	Name string
	Desk Desk
}

// marked reads a line between sheets.
func marked(line string) (name string, m wire.Method, is bool) {
	rest, found := strings.CutPrefix(line, "# == ")
	name, settings, closed := strings.Cut(rest+" ", " == ")
	m, err := link.ReadSettings(settings)
	return name, m, found && closed && err == nil
}

// hidden reports whether a line is one of a sheet's own that begins like a marker, behind some "#".
func hidden(line string) bool {
	return strings.HasPrefix(line, "#") && strings.HasPrefix(strings.TrimLeft(line, "#"), " == ")
}

// Export writes sheets as the text of one file. Their own numbers and titles are not in it.
func Export(list []Kept) string {
	var b strings.Builder
	for _, k := range list {
		b.WriteString(strings.TrimRight("# == "+Name(k.Name)+" == "+link.Settings(k.Desk.Method), " ") + "\n")
		for line := range strings.SplitSeq(k.Desk.Sheet, "\n") {
			if hidden(line) {
				b.WriteByte('#')
			}
			b.WriteString(line + "\n")
		}
	}
	return b.String()
}

// Import reads a file: what Export wrote, or any text, which is then one sheet that is called like the file.
func Import(file, text string) ([]Kept, error) {
	text = strings.TrimPrefix(text, "\ufeff")
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text)
	if len(text) > MostText || !isText(text) {
		return nil, ErrDamaged
	}
	if dot := strings.LastIndexByte(file, '.'); dot > 0 {
		file = file[:dot]
	}
	var list []Kept
	var lines []string
	end := func() {
		if n := len(list); n > 0 {
			list[n-1].Desk.Sheet = strings.Join(lines, "\n")
		} else if alone := strings.Join(lines, "\n"); strings.TrimSpace(alone) != "" {
			list = append(list, Kept{file, Desk{Sheet: strings.TrimSuffix(alone, "\n")}})
		}
		lines = nil
	}
	for line := range strings.SplitSeq(strings.TrimSuffix(text, "\n"), "\n") {
		if name, m, is := marked(line); is {
			end()
			list = append(list, Kept{name, Desk{Method: m}})
			continue
		}
		if strings.HasPrefix(line, "##") && hidden(line) {
			line = line[1:]
		}
		lines = append(lines, line)
	}
	end()
	for i := range list {
		k := &list[i]
		if k.Name = Name(k.Name); k.Name == "" {
			k.Name = "sheet"
		}
		k.Desk.Edited = true
	}
	return list, nil
}

// FileName is the name of a file for sheets of these names.
func FileName(list []Kept) string {
	if len(list) != 1 {
		return "nodespan-sheets.txt"
	}
	name := strings.Map(func(r rune) rune {
		if strings.ContainsRune(`/\:*?"<>|`, r) {
			return '-'
		}
		return r
	}, list[0].Name)
	return strings.TrimLeft(name, ".- ") + ".txt"
}
