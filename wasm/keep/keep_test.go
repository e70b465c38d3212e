package keep

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"nodespan/wasm/wire"
)

// memory is a storage; one that is denied refuses everything, one that is full refuses what is set.
type memory struct {
	m            map[string]string
	denied, full bool
}

var errRefused = errors.New("refused")

func (s *memory) may(can bool) error {
	if s.denied || !can {
		return errRefused
	}
	return nil
}

func (s *memory) Keys() (keys []string, err error) {
	for k := range s.m {
		keys = append(keys, k)
	}
	return keys, s.may(true)
}

func (s *memory) Get(key string) (string, bool, error) {
	v, found := s.m[key]
	return v, found && !s.denied, s.may(true)
}

func (s *memory) Set(key, value string) error {
	if err := s.may(!s.full); err != nil {
		return err
	}
	s.m[key] = value
	return nil
}

func (s *memory) Remove(key string) error {
	if err := s.may(true); err != nil {
		return err
	}
	delete(s.m, key)
	return nil
}

func TestDesk(t *testing.T) {
	d := Desk{Sheet: "y'' = <b>\n\"θ\u2028", Method: wire.Method{Name: "one", Nodes: 7}, Numbers: "0\t1", Title: "a",
		Note: "b", Edited: true}
	d.Before = &Desk{Sheet: "z'' = 0", Edited: true}
	got, err := ReadDesk(d.Text())
	if err != nil || !reflect.DeepEqual(got, d) {
		t.Errorf("%+v, %v", got, err)
	}
	longest := "sheet \"" + strings.Repeat("y", MostText-len("sheet \"\"")) + `"`
	if _, err := ReadDesk(longest); err != nil {
		t.Errorf("the longest text: %v", err)
	}
	for _, damaged := range []string{"x", `sheet "a`, `sheet "a\u0000"`, `sheet "\xff"`, `colour "red"`,
		`method "method=other"`, `method "nodes=1000000"`, `before "method \"nodes=-1\""`, `sheet 'a' "b"`,
		`sheet "` + strings.Repeat("y", MostText) + `"`} {
		if _, err := ReadDesk(damaged); err != ErrDamaged {
			t.Errorf("%.40s: %v", damaged, err)
		}
	}
}

// An edited sheet that an example takes the place of stays within reach, through further examples too.
func TestSetAside(t *testing.T) {
	mine := Desk{Sheet: "mine", Edited: true}
	for _, c := range []struct {
		now   Desk
		sheet string
		want  string
	}{
		{mine, "example", "mine"},
		{Desk{Sheet: "example", Before: &mine}, "another", "mine"},
		{Desk{Sheet: "example edited", Edited: true, Before: &mine}, "another", "example edited"},
		{Desk{Sheet: " \n", Edited: true, Before: &mine}, "another", "mine"},
		{Desk{Sheet: "example"}, "another", ""},
		{mine, "mine", ""},
		{Desk{Sheet: "example", Before: &mine}, "mine", ""},
	} {
		got := ""
		if b := c.now.SetAside(c.sheet); b != nil {
			if got = b.Sheet; b.Before != nil {
				t.Errorf("%+v: one desk is set aside, and not a chain of them", c.now)
			}
		}
		if got != c.want {
			t.Errorf("%+v then %s: %q, not %q", c.now, c.sheet, got, c.want)
		}
	}
}

func TestShelf(t *testing.T) {
	s := &memory{m: map[string]string{"other": "of another page", prefix + "spoilt": "{", LastKey: ""}}
	shelf := Shelf{s}
	a, b := Desk{Sheet: "a"}, Desk{Sheet: "b"}
	for _, c := range []struct {
		name string
		d    Desk
		as   string
	}{{"fin", a, "fin"}, {"fin", a, "fin"}, {"fin", b, "fin (2)"}, {"Beam", b, "Beam"},
		{"FIN", b, "FIN"}, {"Fin", b, "Fin"}, {"spoilt", a, "spoilt (2)"}} {
		if as, err := shelf.Add(c.name, c.d); as != c.as || err != nil {
			t.Errorf("%s: kept as %q, %v", c.name, as, err)
		}
	}
	names, err := shelf.Names()
	want := []string{"Beam", "FIN", "Fin", "fin", "fin (2)", "spoilt", "spoilt (2)"}
	if err != nil || !reflect.DeepEqual(names, want) {
		t.Errorf("%q, %v", names, err)
	}
	if d, found, err := shelf.Get("fin (2)"); !found || d.Sheet != "b" || err != nil {
		t.Errorf("%+v, %v, %v", d, found, err)
	}
	if _, found, err := shelf.Get("spoilt"); found || err != ErrDamaged {
		t.Errorf("what is damaged is found: %v", err)
	}
	if err := shelf.Remove("fin"); err != nil {
		t.Error(err)
	}
	if _, found, err := shelf.Get("fin"); found || err != nil {
		t.Errorf("what was removed is found: %v", err)
	}
	err = shelf.Put("kept", Desk{Sheet: "a", Before: &b})
	if text := s.m[prefix+"kept"]; err != nil || strings.Contains(text, "before") {
		t.Errorf("what was before is kept with the sheet: %q, %v", text, err)
	}
	if s.m["other"] == "" {
		t.Error("what is another page's was touched")
	}
	s.full = true
	if err := shelf.Put("new", a); err != errRefused {
		t.Errorf("a full storage: %v", err)
	}
	s.denied = true
	if _, err := shelf.Names(); err != errRefused {
		t.Errorf("a denied one: %v", err)
	}
	if _, err := shelf.Add("new", a); err != errRefused {
		t.Errorf("a denied one: %v", err)
	}
}

func TestName(t *testing.T) {
	for typed, want := range map[string]string{
		"  a fin\n of \t steel ": "a fin of steel", "a == b": "a = b", "a ===== b": "a = b", "": "", "\x00\x1b": "",
		strings.Repeat("θ", 100): strings.Repeat("θ", mostName),
	} {
		if got := Name(typed); got != want {
			t.Errorf("%q: %q, not %q", typed, got, want)
		}
	}
	for sheet, want := range map[string]string{
		"\n# A fin on the pipe.\nT'' = T": "A fin on the pipe", "y'' = y\ny(0) = 0": "y'' = y", "\n #\n": "",
	} {
		if got := Suggested(sheet); got != want {
			t.Errorf("%q: %q, not %q", sheet, got, want)
		}
	}
}

func TestFile(t *testing.T) {
	list := []Kept{
		{"the fin", Desk{Sheet: "T'' = T\n\n# == x ==\n## == y ==\n",
			Method: wire.Method{Name: "one", Nodes: 7}, Edited: true}},
		{"empty", Desk{Edited: true}},
		{"a = b", Desk{Sheet: "y'' = y", Edited: true}},
	}
	text := Export(list)
	got, err := Import("any.txt", text)
	if err != nil || !reflect.DeepEqual(got, list) {
		t.Errorf("%+v, %v of\n%s", got, err, text)
	}
	may := func(sheet string) Kept { return Kept{"notes of May", Desk{Sheet: sheet, Edited: true}} }
	six := wire.Method{Digits: 6}
	for text, want := range map[string][]Kept{
		"\ufeffy'' = y\r\ny(0) = 1\r\n":        {may("y'' = y\ny(0) = 1")},
		"# == a == method=none\ny'' = y":       {may("# == a == method=none\ny'' = y")},
		"y'' = y\n# == a ==\nz'' = z":          {may("y'' = y"), {"a", Desk{Sheet: "z'' = z", Edited: true}}},
		"":                                     nil,
		"# ==  == digits=6\nz'' = z\n":         {{"sheet", Desk{Sheet: "z'' = z", Method: six, Edited: true}}},
		"# == a\ny == digits=6":                {may("# == a\ny == digits=6")},
		"y'' = y # == not at the start == \n ": {may("y'' = y # == not at the start == \n ")},
	} {
		got, err := Import("notes of May.txt", text)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%q: %+v, %v", text, got, err)
		}
	}
	if text := Export([]Kept{{"a", Desk{Sheet: "# a note\ny'' = y"}}}); text != "# == a ==\n# a note\ny'' = y\n" {
		t.Errorf("%q", text)
	}
	for file, name := range map[string]string{"a.txt": "a", ".txt": ".txt", "a.b.c": "a.b", "fin": "fin"} {
		if got, err := Import(file, strings.Repeat("a", MostText)); err != nil || got[0].Name != name {
			t.Errorf("%s: %v, %v", file, got, err)
		}
	}
	for _, bad := range []string{"\xff\xfe", "a\x00b", strings.Repeat("a", MostText+1)} {
		if _, err := Import("x", bad); err != ErrDamaged {
			t.Errorf("%.10q: %v", bad, err)
		}
	}
	if a, b := FileName(list[:1]), FileName(list); a != "the fin.txt" || b != "nodespan-sheets.txt" {
		t.Error(a, b)
	}
	if got := FileName([]Kept{{Name: "../a:b?"}}); got != "a-b-.txt" {
		t.Error(got)
	}
}
