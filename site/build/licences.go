package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
)

// notice is the licence of one thing that the page carries.
type notice struct{ name, use, text string }

// licences collects the notices of everything that ends up in the page: the modules that ./wasm
// really imports, Go itself, and the math font.
func licences() (string, error) {
	modules, err := moduleNotices()
	if err != nil {
		return "", err
	}
	root, err := goEnv("GOROOT")
	if err != nil {
		return "", err
	}
	goText, err := licenceIn(root)
	if err != nil {
		return "", err
	}
	fontDir := filepath.Join("site", "node_modules", "@fontsource", "stix-two-math")
	fontText, err := licenceIn(fontDir)
	if err != nil {
		return "", err
	}
	fontVersion, err := npmVersion(fontDir)
	if err != nil {
		return "", err
	}
	notices := append([]notice{{"Go", "the standard library and its JavaScript support file", goText}}, modules...)
	notices = append(notices, notice{"STIX Two Math, from @fontsource/stix-two-math " + fontVersion,
		"the font of the typeset mathematics, cut down to the characters in use", fontText})
	var b strings.Builder
	for i, n := range notices {
		if i > 0 {
			b.WriteString("\n\n")
		}
		fmt.Fprintf(&b, "%s: %s\n\n%s\n", n.name, n.use, strings.TrimSpace(n.text))
	}
	return b.String(), nil
}

// uses says what each module is for; a module that is not listed here fails the build, so that none is carried
// unawares.
var uses = map[string]string{
	"gonum.org/v1/gonum":          "dense linear algebra",
	"github.com/Knetic/govaluate": "evaluation of formulas",
	"honnef.co/go/js/dom/v2":      "the browser's document from Go",
}

func moduleNotices() ([]notice, error) {
	list := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not "+
		".Main}}{{.Path}}\t{{.Version}}\t{{.Dir}}{{end}}{{end}}", "./wasm")
	list.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	list.Stderr = os.Stderr
	text, err := list.Output()
	if err != nil {
		return nil, fmt.Errorf("listing the modules of ./wasm: %w", err)
	}
	seen := map[string]bool{}
	var out []notice
	for _, line := range strings.Split(string(text), "\n") {
		fields := strings.Split(line, "\t")
		if len(fields) != 3 || seen[fields[0]] {
			continue
		}
		seen[fields[0]] = true
		use, known := uses[fields[0]]
		if !known {
			return nil, fmt.Errorf("the page has come to import %s: say in site/build/licences.go what for", fields[0])
		}
		licence, err := licenceIn(fields[2])
		if err != nil {
			return nil, err
		}
		out = append(out, notice{fields[0] + " " + fields[1], use, licence})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].name < out[j].name })
	return out, nil
}

func licenceIn(dir string) (string, error) {
	text, err := os.ReadFile(filepath.Join(dir, "LICENSE"))
	if err != nil {
		return "", fmt.Errorf("a licence notice is missing: %w", err)
	}
	return string(text), nil
}

func npmVersion(dir string) (string, error) {
	text, err := os.ReadFile(filepath.Join(dir, "package.json"))
	if err != nil {
		return "", err
	}
	var about struct{ Version string }
	if err := json.Unmarshal(text, &about); err != nil {
		return "", fmt.Errorf("%s: %w", dir, err)
	}
	return about.Version, nil
}
