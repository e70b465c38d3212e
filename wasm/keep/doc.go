// Package keep is what a reader's browser keeps of their work: the desk as it stands, in the history of a tab and in
// the browser's storage; and the sheets that were kept by name, also as plain text files.
//
// A storage may be absent, denied, full, or written by anybody: whatever is read from it is checked, and whatever it
// refuses is an error that the page tells. The package knows no document.
package keep
