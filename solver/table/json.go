package table

import (
	"encoding/json"
	"io"
)

// WriteJSON writes the reply on one line. An error is the writer's.
func (r *Reply) WriteJSON(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(r)
}
