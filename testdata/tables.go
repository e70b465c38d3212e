package testdata

import (
	_ "embed"
	"encoding/json"
)

//go:embed tables.json
var tables []byte

// Rows reads the rows of one of the published tables, each of which names its source, as JSON is read into a value. It
// panics where there is no such table.
func Rows(id string, rows any) {
	var all []struct {
		ID   string
		Rows json.RawMessage
	}
	err := json.Unmarshal(tables, &all)
	for _, table := range all {
		if table.ID == id && err == nil {
			if err = json.Unmarshal(table.Rows, rows); err == nil {
				return
			}
		}
	}
	panic("no published table " + id)
}
