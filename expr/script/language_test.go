package script

import (
	"reflect"
	"strings"
	"testing"

	"nodespan/expr/function"
)

// TestLanguages: every language has each entry of its table but those that it may do without, and writes every function
// or says why not.
func TestLanguages(t *testing.T) {
	free := map[string]bool{"end": true, "loopEnd": true, "base": true, "Dialect": true} // may be empty
	for _, l := range languages {
		v := reflect.ValueOf(*l)
		for i := range v.NumField() {
			if name := v.Type().Field(i).Name; v.Field(i).IsZero() && !free[name] {
				t.Errorf("%s has no %s", l.Name, name)
			}
		}
		for _, f := range function.All() {
			code := l.Function(f)
			switch {
			case code.Call == "" && (code.Lacks == "" || !f.Derived):
				t.Errorf("%s has no way to write %s", l.Name, f.Name)
			case code.Call != "" && strings.Count(code.Call, "%s") != f.Args:
				t.Errorf("%s writes %s as %s, with %d arguments", l.Name, f.Name, code.Call, f.Args)
			}
		}
		if got, ok := ByName(l.Name); !ok || got != l {
			t.Errorf("%s is not found by its name", l.Name)
		}
	}
}
