package link

import (
	"errors"
	"strings"
	"testing"

	"nodespan/wasm/wire"
)

// kept has a link of every version, as it was made when the version was new: they stay readable.
var kept = []struct {
	fragment string
	want     State
}{
	{"1.yk0tychPsc3PS1VIS8zNzKm0Tc5ITaoszkgtU8jLT0kttjXnqlRXV7BV0K3kqtQw0FSwVTDgqtQwBDEMAQEAAP__",
		State{Sheet: "y'' = -y\ny(0) = 0\ny(1) = 1", Method: wire.Method{Name: "one", Nodes: 7, Family: "chebyshev"}}},
	{"2.LMyxysIwEAfwPU_x39oPSkk-FKdD7OQDZBOHQq69wzaBXKSvL4Lbb_rt3KQkKpmRS2KjizMpBy26visPc7aDK0yYG4mmxBm2aeJqNCma" +
		"8M6U5vrCL1oqM4R1lUYn790Ni2Z3LwdMSm1Qw1byenWx60CYFNHF3v-BEFzs-vCVd5OC8D-eoRkPP4YBwT8_AQAA__8", State{
		Sheet: "T'' = Bi T\nT(0) = 1\nT'(1) = 0\nBi = 2.5 in [0.1, 10]", Method: wire.Method{Name: "one", Nodes: 7},
		View: View{On: true, Show: "figure,answer", Sheet: "hidden", Sliders: "Bi", Free: true, Theme: "dark",
			Height: 400, Title: "A fin", Caption: "How short is long?"},
	}},
}

func TestKept(t *testing.T) {
	for _, c := range kept {
		if got, err := Decode("#" + c.fragment); err != nil || got != c.want {
			t.Errorf("%.20s is %+v, %v", c.fragment, got, err)
		}
	}
}

func TestViews(t *testing.T) {
	all := strings.Join(Sections(), ",")
	for _, v := range []View{
		Usual,
		{On: true, Show: "figure", Height: MinHeight},
		{On: true, Show: all, Sheet: "editable", Sliders: "Bi,λ_1", Free: true, Theme: "dark", Height: 400,
			Title: "A fin, <b>“thin”</b>", Caption: "What if h doubles?"},
		{On: true, Show: "table,answer", Sheet: "hidden", Sliders: "-", Theme: "light", Height: MaxHeight},
	} {
		want := State{Sheet: "y'' = y\ny(0) = 1\n", Method: wire.Method{Name: "one", Nodes: 5}, View: v}
		fragment, err := Encode(want)
		if err != nil || !strings.HasPrefix(fragment, "2.") {
			t.Fatalf("%+v: %q, %v", v, fragment, err)
		}
		if got, err := Decode(fragment); err != nil || got != want {
			t.Errorf("%+v came back as %+v, %v", want, got, err)
		}
	}
}

func TestViewsRefused(t *testing.T) {
	link := func(view string) string { return "2." + strings.TrimPrefix(wrap("\n"+view+"\ny'' = y"), "1.") }
	for _, c := range []struct {
		name, fragment string
		want           error
	}{
		{"no view", "2." + strings.TrimPrefix(wrap("\ny'' = y"), "1."), ErrDamaged},
		{"nothing shown", link("show=\n\n"), ErrDamaged},
		{"something unknown", link("show=answer,script\n\n"), ErrDamaged},
		{"something twice", link("show=answer,answer\n\n"), ErrDamaged},
		{"another setting", link("show=answer onload=alert(1)\n\n"), ErrDamaged},
		{"another state of the sheet", link("show=answer sheet=open\n\n"), ErrDamaged},
		{"another theme", link("show=answer theme=<b>\n\n"), ErrDamaged},
		{"a height that is none", link("show=answer height=0\n\n"), ErrDamaged},
		{"a negative height", link("show=answer height=-300\n\n"), ErrDamaged},
		{"too high", link("show=answer height=100000\n\n"), ErrDamaged},
		{"a control character", link("show=answer\nA\x07\n"), ErrDamaged},
		{"too long a title", link("show=answer\n" + strings.Repeat("a", MaxTitle+1) + "\n"), ErrLong},
		{"too long a caption", link("show=answer\n\n" + strings.Repeat("a", MaxCaption+1)), ErrLong},
		{"a control that turns letters around", link("show=answer\n\na\u202eb"), ErrDamaged},
		{"no text", link("show=answer\n\xff\n"), ErrDamaged},
	} {
		if _, err := Decode(c.fragment); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	if _, err := Encode(State{Sheet: "y", View: View{On: true, Show: "answer", Title: "two\nlines"}}); err == nil {
		t.Error("a title of two lines was encoded")
	}
}
