package main

import (
	"encoding/json"
	"fmt"
	"net/url"
	"regexp"
	"strings"
)

// What lets the folder be installed, and work with no network.

const manifest = `{
  "name": "Nodespan, a boundary value calculator",
  "short_name": "Nodespan",
  "start_url": "./",
  "scope": "./",
  "display": "standalone",
  "background_color": "#fffdf8",
  "theme_color": "#00646e",
  "icons": [{ "src": "icon.svg", "sizes": "any", "type": "image/svg+xml" }]
}
`

var iconMark = regexp.MustCompile(`<link rel="icon" href="data:image/svg\+xml,([^"]*)">`)

// icon is the one that the page has in its head.
func (p *parts) icon() (string, error) {
	found := iconMark.FindStringSubmatch(p.index)
	if found == nil {
		return "", fmt.Errorf("site/index.html: no icon")
	}
	return url.PathUnescape(found[1])
}

// serviceWorker fills in what the folder holds, each file with its hash, the page by the address of the folder; the
// version is the hash of these.
func (p *parts) serviceWorker(files map[string][]byte) ([]byte, error) {
	sums := map[string]string{}
	for name, data := range files {
		if name == "index.html" {
			name = "./"
		}
		sums[name] = strings.Trim(hash(string(data)), "'")
	}
	list, err := json.Marshal(sums) // in the order of their names
	if err != nil {
		return nil, err
	}
	version, err := json.Marshal(hash(string(list))[8:24])
	if err != nil {
		return nil, err
	}
	text := compact(p.offline)
	for mark, value := range map[string][]byte{"VERSION;": version, "FILES;": list} {
		if strings.Count(text, mark) != 1 {
			return nil, fmt.Errorf("site/sw.js: the mark %s must occur once", mark)
		}
		text = strings.Replace(text, mark, string(value)+";", 1)
	}
	return []byte(text + "\n"), nil
}
